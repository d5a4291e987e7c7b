"""The addresses that the page of a sheet names, for rendering it without the program behind it."""

from django.http import HttpResponse
from django.urls import path

urlpatterns = [
    path("bench/", HttpResponse, name="bench"),
    path("bench/jobs/<int:pk>/tag", HttpResponse, name="job-tag"),
    path("bench/entries", HttpResponse, name="bench-entries"),
    path("bench/pictures", HttpResponse, name="bench-picture-new"),
    path("bench/sheets/<int:pk>", HttpResponse, name="bench-sheet"),
    path("bench/sheets/<int:pk>/state", HttpResponse, name="bench-state"),
]
