"""Addresses of the stock subject."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
