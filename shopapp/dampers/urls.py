"""Addresses of the dampers subject; a damper's own page is in web/."""

from django.urls import path

from shopapp.dampers import views

urlpatterns = [
    path("dampers/", views.dampers, name="dampers"),
    path("dampers/<int:pk>/change", views.damper_change, name="damper-change"),
]
