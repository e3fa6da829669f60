"""The form of a row of the permission table, and short ways to write one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from tests.world import KINDS, World

SIGN_IN = 302  # strangers are led to the sign-in page


@dataclass(frozen=True)
class Row:
    """Statuses of one URL name by kind of person. ``args`` makes the address's keyword arguments from the world.

    ``get`` and ``post`` map kinds to statuses; kinds not named get ``otherwise`` (``post_otherwise`` for POST), and
    anonymous gets ``anonymous``. ``data`` makes the body of the POST; default empty.
    """

    name: str
    get: dict[str, int]
    post: dict[str, int]
    args: Callable[[World], dict[str, Any]] = lambda world: {}
    data: Callable[[World], dict[str, Any]] = lambda world: {}
    otherwise: int = 403
    post_otherwise: int | None = None
    anonymous: int = SIGN_IN
    query: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def expected(self, kind: str, method: str) -> int:
        """The status this kind of person must get."""
        if kind == "anonymous":
            return self.get.get(kind, self.anonymous) if method == "get" else self.post.get(kind, self.anonymous)
        if method == "get":
            return self.get.get(kind, self.otherwise)
        return self.post.get(kind, self.otherwise if self.post_otherwise is None else self.post_otherwise)


STAFF = (
    "administrator",
    "coordinator",
    "instructor",
    "second_instructor",
    "evaluator",
    "second_evaluator",
    "technician",
)
SIGNED_IN = tuple(kind for kind in KINDS if kind != "anonymous")


def for_(status: int, *kinds: str) -> dict[str, int]:
    """The same status for each kind."""
    return dict.fromkeys(kinds, status)


def everyone(status: int) -> dict[str, int]:
    """The same status for every kind, strangers included."""
    return dict.fromkeys(KINDS, status)
