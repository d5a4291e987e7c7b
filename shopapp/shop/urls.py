"""Addresses of the shop subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
