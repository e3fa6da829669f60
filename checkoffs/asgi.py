"""ASGI entry point, for hosts that only speak ASGI; WSGI is the measured, recommended way."""

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "checkoffs.settings")
application = get_asgi_application()
