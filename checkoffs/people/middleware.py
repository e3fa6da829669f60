"""Puts the person's access on each request, read once and only when asked for; sets the program's time zone."""

from __future__ import annotations

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from checkoffs.people.models import User
from checkoffs.people.permissions import Access


class AccessMiddleware:
    """``request.access`` is an Access; for strangers one without memberships."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Attach the access, and answer in the time zone of the person's program."""
        request.access = SimpleLazyObject(lambda: _read(request))  # type: ignore[attr-defined]
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: object, args: object, kwargs: object) -> None:
        """Activate the zone just before a view runs, so that static and public pages cost no query."""
        if request.user.is_authenticated:
            program = request.access.home_program()  # type: ignore[attr-defined]
            timezone.activate(ZoneInfo(program.time_zone if program else "UTC"))


def _read(request: HttpRequest) -> Access:
    if isinstance(request.user, User) and request.user.is_authenticated:
        return Access.of(request.user)
    return Access(User(), ())
