"""The access of a request is read once and only when asked for, and pages speak in the program's time zone."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from checkoffs.people.middleware import AccessMiddleware
from checkoffs.people.permissions import Act
from tests.world import World


def through(user: Any) -> HttpRequest:
    """A request that has passed the middleware, its view about to run."""
    request = RequestFactory().get("/")
    request.user = user
    middleware = AccessMiddleware(lambda _: HttpResponse())
    middleware(request)
    middleware.process_view(request, None, (), {})
    return request


def test_access_and_zone_of_a_member(world: World) -> None:
    request = through(world.evaluator)
    assert request.access.may(Act.SCORE, cohort=world.cohort)
    assert not request.access.may(Act.SCORE, cohort=world.other_cohort)
    assert timezone.get_current_timezone_name() == "Europe/London"
    timezone.deactivate()


def test_strangers_may_nothing_and_cost_nothing(db: None, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        request = through(AnonymousUser())
        assert not any(request.access.may(act) for act in Act)
