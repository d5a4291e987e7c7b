"""Addresses of the tools subject."""

from django.urls import path

from shopapp.tools import views

urlpatterns = [
    path("tools/", views.tools_page, name="tools"),
    path("tools/out/<int:pk>/back", views.tool_back, name="tool-back"),
    path("tools/<str:tag>/check", views.check, name="tool-check"),
]
