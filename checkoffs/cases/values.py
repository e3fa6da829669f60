"""How values are typed: one is fixed, several are a set to draw from. Pure."""

from __future__ import annotations

import re
from typing import Any

_BETWEEN = re.compile(r"[;\n]|,\s+|,(?!\d{3})")
_BARE = re.compile(r"[\d.,]+")
_UNIT = re.compile(r"^[\d.,]+\s*(\D.*)$")


def field_of(typed: str) -> dict[str, Any] | None:
    """{"fixed"} or {"choose"} from what was typed, None from nothing.

    Values stand one a line or with ; or , between them; a number without a unit takes the unit of the next that has
    one: "3, 5, 7.5 mcg/kg/min". A comma inside a number is kept: "1,000 mL".
    """
    values = [value.strip() for value in _BETWEEN.split(typed) if value.strip()]
    unit = ""
    for at in range(len(values) - 1, -1, -1):
        if _BARE.fullmatch(values[at]):
            values[at] = f"{values[at]} {unit}".strip()
        elif found := _UNIT.match(values[at]):
            unit = found.group(1)
    if not values:
        return None
    return {"fixed": values[0]} if len(values) == 1 else {"choose": values}


def typed_of(field: dict[str, Any] | None) -> str:
    """The lines that `field_of` reads back as this field."""
    if not field:
        return ""
    return "\n".join([field["fixed"]] if "fixed" in field else field["choose"])
