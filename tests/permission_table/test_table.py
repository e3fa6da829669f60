"""Every URL name × kind of person × GET and POST gives the status in the table, and the table equals the resolver.

Source of the rights: the section "Who may do what" of the project's own architecture; roles per cohort and date and
"another's object is not found" are *common practice*.
"""

from __future__ import annotations

import importlib
import pkgutil
from typing import Any

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

import tests.permission_table as package
from tests.permission_table.rows import Row
from tests.world import KINDS, World

# the sign-in library's own pages; their rights are its own, and its tests
LIBRARY = ("account_", "mfa_", "socialaccount_", "openid_connect_")


def _rows() -> list[Row]:
    rows: list[Row] = []
    for found in pkgutil.iter_modules(package.__path__):
        if found.name not in {"rows", "test_table"}:
            rows += importlib.import_module(f"{package.__name__}.{found.name}").ROWS
    return rows


def _names(patterns: list[Any], prefix: str = "") -> set[str]:
    names: set[str] = set()
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
            names |= _names(pattern.url_patterns, inner)
        elif isinstance(pattern, URLPattern) and pattern.name:
            names.add(prefix + pattern.name)
    return names


def test_table_equals_resolver() -> None:
    """No page without rows, no rows without a page, and every pattern has a name."""
    ours = {name for name in _names(get_resolver().url_patterns) if not name.startswith(LIBRARY)}
    assert {row.name for row in _rows()} == ours


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("row", _rows(), ids=lambda row: row.name)
def test_statuses(row: Row, method: str, world: World, signed_in: Any) -> None:
    """One row: each kind of person, one method."""
    address = reverse(row.name, kwargs=row.args(world)) + row.query
    got = {}
    for kind in KINDS:
        client = signed_in(kind)
        send = getattr(client, method)
        response = (
            send(address, row.data(world), headers=row.headers)
            if method == "post"
            else send(address, headers=row.headers)
        )
        got[kind] = response.status_code
    assert got == {kind: row.expected(kind, method) for kind in KINDS}
