"""What every page shows around its content: navigation by right, program, who is signed in."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from checkoffs.people.permissions import Access, Act

# label, URL name, acts of which one is needed; in the order of a working day
NAVIGATION: list[tuple[str, str, tuple[Act, ...]]] = [
    ("Today", "days:today", (Act.SCORE,)),
    ("My procedures", "review:mine", (Act.OWN_RESULTS,)),
    ("Watch practice", "attempts:open", (Act.SCORE_PRACTICE,)),
    ("Days", "days:list", (Act.SEE_BOARD,)),
    ("Cohorts", "reports:cohort_list", (Act.SEE_RESULTS,)),
    ("Procedures", "procedures:list", (Act.READ_PROCEDURES,)),
    ("Records", "records:list", (Act.SEE_RESULTS, Act.OWN_RESULTS, Act.SCORE)),
    ("People", "people:list", (Act.MANAGE_PEOPLE, Act.ENROL)),
    ("Audit", "people:audit", (Act.SEE_AUDIT,)),
]

# where a person's work begins; the first act that is granted decides
FIRST_PAGES: list[tuple[Act, str]] = [
    (Act.SCORE, "days:today"),
    (Act.SEE_RESULTS, "reports:cohort_list"),
    (Act.MANAGE_PEOPLE, "people:list"),
    (Act.SEE_BOARD, "days:list"),
    (Act.OWN_RESULTS, "review:mine"),
]


def address(name: str) -> str | None:
    """The address of a page, or None where this installation lacks it."""
    try:
        return reverse(name)
    except NoReverseMatch:
        return None


def first_page(access: Access) -> str | None:
    """The address of the page a person begins with, or None without any role."""
    return next((found for act, name in FIRST_PAGES if access.may(act) and (found := address(name))), None)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Context for base.html: nav_items, program, person_label."""
    access: Access | None = getattr(request, "access", None)
    signed_in = getattr(request, "user", None) is not None and request.user.is_authenticated
    if access is None or not signed_in:
        return {"nav_items": [], "program": None}
    items = [
        {"label": label, "url": url, "current": False}
        for label, name, acts in NAVIGATION
        if any(access.may(act) for act in acts) and (url := address(name))
    ]
    # the longest address that leads here: the audit trail lies below the people pages
    here = max(
        (item for item in items if request.path.startswith(str(item["url"]))),
        key=lambda item: len(str(item["url"])),
        default=None,
    )
    if here is not None:
        here["current"] = True
    return {"nav_items": items, "program": access.home_program(), "person_label": _label(access)}


def _label(access: Access) -> str:
    roles = dict.fromkeys(str(held.get_role_display()) for held in access.memberships)
    return ", ".join([access.person.full_name, *roles])
