"""Addresses of the bench subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
