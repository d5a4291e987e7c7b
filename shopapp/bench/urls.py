"""Addresses of the bench subject."""

from django.urls import URLPattern, path

from shopapp.bench import views

urlpatterns: list[URLPattern] = [
    path("bench/", views.bench, name="bench"),
    path("bench/open", views.open_sheet, name="bench-open"),
    path("bench/notes/take", views.take_note, name="bench-note-take"),
    path("bench/tools/<int:pk>/back", views.tool_back, name="bench-tool-back"),
    path("bench/open-bodies", views.open_bodies, name="bench-open-bodies"),
    path("bench/entries", views.entries, name="bench-entries"),
    path("bench/sheets/<int:pk>", views.sheet, name="bench-sheet"),
    path("bench/sheets/<int:pk>/state", views.state, name="bench-state"),
    path("owner/stopped", views.stopped, name="owner-stopped"),
]
