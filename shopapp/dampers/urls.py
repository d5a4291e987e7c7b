"""Addresses of the dampers subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
