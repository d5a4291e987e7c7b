"""Addresses of the specs subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
