"""Addresses of what is due and of handing over."""

from django.urls import path

from shopapp.due import views

urlpatterns = [
    path("due/", views.due, name="due"),
    path("orders/<int:number>/hand-over", views.hand_over, name="hand-over"),
    path("orders/<int:number>/parcel", views.parcel_new, name="parcel-new"),
]
