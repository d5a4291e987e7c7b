"""The shop's own settings with the framework's admin in the place of the shop's pages."""

from __future__ import annotations

from shopapp import settings as shop
from shopapp.settings import *  # noqa: F403

INSTALLED_APPS = [
    "django.contrib.admin",
    *(app for app in shop.INSTALLED_APPS if app not in ("csp", "django.forms")),
]
MIDDLEWARE = [
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
]
ROOT_URLCONF = "tests.journeys.generated_admin.urls"
FORM_RENDERER = "django.forms.renderers.DjangoTemplates"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]
