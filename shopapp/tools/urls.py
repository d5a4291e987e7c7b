"""Addresses of the tools subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
