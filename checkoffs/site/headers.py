"""Response headers that protect people on shared tablets."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


class PrivateByDefault:
    """Pages are never kept by browsers or proxies unless a view says otherwise; sensors and payment are off."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Add the headers where the view set none."""
        response = self.get_response(request)
        response.headers.setdefault("Cache-Control", "no-store, private")
        response.headers.setdefault(
            "Permissions-Policy",
            "camera=(), microphone=(), geolocation=(), payment=(), usb=(), screen-wake-lock=(self)",
        )
        return response
