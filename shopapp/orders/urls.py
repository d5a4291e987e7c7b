"""Addresses of the orders subject; an order's own page and the new-order sheet are in web/."""

from django.urls import path

from shopapp.orders import views

urlpatterns = [path("orders/", views.orders, name="orders")]
