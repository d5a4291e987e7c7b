"""The WSGI entry of the web server: it does not start while a URL has no right."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
application = get_wsgi_application()


def _hold_rights() -> None:
    from shopapp.people import rights

    rights.hold()


_hold_rights()
