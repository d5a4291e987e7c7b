"""Addresses of the papers subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
