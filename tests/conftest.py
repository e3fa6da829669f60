"""Fixtures that every room's tests share: an invented college, one person of each kind, signed-in clients."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.management.commands import flush
from django.db import connections
from django.test import Client

from checkoffs.ledger import triggers
from tests.world import World, make_world


@pytest.fixture(autouse=True, scope="session")
def _flush_lifts_triggers() -> Iterator[None]:
    """Only tests flush tables; the ledger's triggers are lifted around it and put back."""
    original = flush.Command.handle

    def handle(self: Any, **options: Any) -> Any:
        with triggers.lifted(connections[options["database"]]):
            return original(self, **options)

    flush.Command.handle = handle  # type: ignore[method-assign]
    yield
    flush.Command.handle = original  # type: ignore[method-assign]


@pytest.fixture
def world(db: None) -> World:
    """An invented college with two cohorts and one person of each kind; and a second program."""
    return make_world()


@pytest.fixture
def signed_in(world: World) -> Any:
    """``signed_in("evaluator")`` gives a client signed in as that person of the world."""

    def sign_in(kind: str) -> Client:
        client = Client()
        if kind != "anonymous":
            client.force_login(world.people[kind], backend="allauth.account.auth_backends.AuthenticationBackend")
        return client

    return sign_in
