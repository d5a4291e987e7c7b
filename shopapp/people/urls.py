"""Addresses of people: signing in and out, the first owner, one's own page, the owner's page of people."""

from django.urls import path

from shopapp.people import views

urlpatterns = [
    path("sign-in", views.sign_in, name="sign-in"),
    path("sign-out", views.sign_out, name="sign-out"),
    path("set-up/<str:secret>", views.set_up, name="set-up"),
    path("me", views.me, name="me"),
]
