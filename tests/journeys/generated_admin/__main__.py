"""Serve the generated admin until standard input ends; a line on it asks what was entered.

The first line out is the address and the session of who stands at the desk, then one line of rows for each asked.
"""

from __future__ import annotations

import json
import os
import sys
import threading

import django


def main() -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.journeys.generated_admin.settings"
    django.setup()
    from django.contrib.staticfiles.handlers import StaticFilesHandler
    from django.core.management import call_command
    from django.core.serializers.json import DjangoJSONEncoder
    from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
    from django.core.wsgi import get_wsgi_application
    from django.test import Client

    from tests.journeys import keystroke_shop

    class Quiet(WSGIRequestHandler):
        def log_message(self, *_words: object) -> None:
            """Say nothing: standard output is for the answers."""

    call_command("migrate", verbosity=0)
    client = Client()
    client.force_login(keystroke_shop.open_shop())
    server = ThreadedWSGIServer(("127.0.0.1", 0), Quiet)
    server.set_app(StaticFilesHandler(get_wsgi_application()))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    session = client.cookies["sessionid"].value
    print(json.dumps({"url": f"http://127.0.0.1:{server.server_port}", "session": session}), flush=True)
    for _line in sys.stdin:
        print(json.dumps(keystroke_shop.entered(), cls=DjangoJSONEncoder), flush=True)
    server.shutdown()


main()
