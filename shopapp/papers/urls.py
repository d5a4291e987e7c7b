"""Addresses of papers."""

from django.urls import path

from shopapp.papers import views

urlpatterns = [
    path("papers/<uuid:pk>", views.paper, name="paper"),
    path("papers/<uuid:pk>/file", views.paper_file, name="paper-file"),
]
