"""Addresses of the stock subject."""

from django.urls import path

from shopapp.stock import views

urlpatterns = [
    path("stock/", views.stock_page, name="stock"),
    path("stock/receive", views.receive, name="stock-receive"),
]
