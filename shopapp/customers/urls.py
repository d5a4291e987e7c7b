"""Addresses of the customers subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
