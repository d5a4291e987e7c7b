"""Addresses of money."""

from django.urls import path

from shopapp.money import views

urlpatterns = [
    path("money/", views.invoices, name="invoices"),
    path("money/invoices/<int:pk>", views.invoice, name="invoice"),
    path("money/payments/<int:pk>/take-back", views.payment_take_back, name="payment-take-back"),
    path("orders/<int:number>/invoice", views.order_invoice, name="order-invoice"),
    path("orders/<int:number>/payment", views.order_payment, name="order-payment"),
]
