"""What every page shows around its content: navigation by right, program, caution."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from checkoffs.people.permissions import Access, Act

# label, URL name, acts of which one is needed; in the order of a working day
NAVIGATION: list[tuple[str, str, tuple[Act, ...]]] = []


def frame(request: HttpRequest) -> dict[str, Any]:
    """Context for base.html: nav_items, program, caution."""
    access: Access | None = getattr(request, "access", None)
    signed_in = getattr(request, "user", None) is not None and request.user.is_authenticated
    if access is None or not signed_in:
        return {"nav_items": [], "program": None}
    here = request.path
    items = [
        {"label": label, "url": reverse(name), "current": here.startswith(reverse(name))}
        for label, name, acts in NAVIGATION
        if any(access.may(act) for act in acts)
    ]
    return {"nav_items": items, "program": access.home_program()}
