"""Addresses of the customers subject; a customer's own page is in web/."""

from django.urls import path

from shopapp.customers import views

urlpatterns = [
    path("customers/", views.customers, name="customers"),
    path("customers/new", views.customer_new, name="customer-new"),
    path("customers/<int:pk>/change", views.customer_change, name="customer-change"),
    path("customers/<int:pk>/erase", views.customer_erase, name="customer-erase"),
    path("customers/<int:pk>/merge", views.customer_merge, name="customer-merge"),
    path("customers/<int:pk>/part", views.customer_part, name="customer-part"),
    path("customers/<int:pk>/vehicles/new", views.vehicle_new, name="vehicle-new"),
    path("vehicles/<int:pk>/change", views.vehicle_change, name="vehicle-change"),
]
