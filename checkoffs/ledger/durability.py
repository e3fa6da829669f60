"""How durable a table is: each model declares one of these as ``durability``; triggers are made from it.

Appendable  rows are added, never changed, never removed.
Frozen      rows may be changed until the named column is filled, then never (except the columns named).
Disposable  rows are never changed, and removed only after a disposal row names them.
Derived     rows can be rebuilt from others at any time.
Editable    rows may be changed and removed; the audit chain says by whom.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Appendable:
    """Rows are added, never changed, never removed."""


@dataclass(frozen=True)
class Frozen:
    """Rows stand still from the moment ``since`` is filled (None: from the start), apart from some columns."""

    since: str | None = None
    apart_from: tuple[str, ...] = ()


@dataclass(frozen=True)
class Disposable:
    """Rows never change and go only when a Disposal row with their table and key exists."""


@dataclass(frozen=True)
class Derived:
    """Rows can be rebuilt from other tables; a test rebuilds them."""


@dataclass(frozen=True)
class Editable:
    """Rows may change; each change leaves an audit entry."""


Durability = Appendable | Frozen | Disposable | Derived | Editable
