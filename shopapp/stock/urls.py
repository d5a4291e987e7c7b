"""Addresses of the stock subject."""

from django.urls import path

from shopapp.stock import views

urlpatterns = [
    path("stock/", views.stock_page, name="stock"),
    path("stock/receive", views.receive, name="stock-receive"),
    path("stock/lots/<int:pk>", views.lot, name="stock-lot"),
    path("stock/lots/<int:pk>/count", views.lot_count, name="stock-lot-count"),
    path("stock/lots/<int:pk>/block", views.lot_block, name="stock-lot-block"),
    path("stock/lots/<int:pk>/unblock", views.lot_unblock, name="stock-lot-unblock"),
]
