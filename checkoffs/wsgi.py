"""WSGI entry point; refuses to start when a ledger table has lost its triggers."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "checkoffs.settings")
application = get_wsgi_application()

from checkoffs.ledger import triggers  # noqa: E402  (models exist only after set-up)

triggers.refuse_to_start_without_them()
