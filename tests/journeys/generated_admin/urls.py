"""The admin's own address."""

from django.urls import path

from tests.journeys.generated_admin.desk import SITE

urlpatterns = [path("admin/", SITE.urls)]
