"""Addresses of the money subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
