"""Addresses of the orders subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
