"""Deploy checks of our own, beside Django's."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Warning


def check_origin(app_configs: Any = None, **_: Any) -> list[CheckMessage]:
    """Tablets need https: without it there is no service worker, no locks and no Secure cookie."""
    if settings.SECURE:
        return []
    return [
        Warning(
            f"ORIGIN is {settings.ORIGIN}: only this machine can use it.",
            hint="Set ORIGIN=https://… for tablets.",
            id="site.W001",
        )
    ]
