"""Addresses of the due subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
