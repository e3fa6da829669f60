"""The shared vectors, as Python folds them. `node --test` runs the same files through the browser's fold."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from checkoffs.scoring.decide import decide
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.fold import fold

VECTORS = Path(__file__).resolve().parents[2] / "fixtures" / "vectors" / "scoring"


def cases() -> list[Any]:
    found = []
    for path in sorted(VECTORS.glob("*.json")):
        document = json.loads(path.read_text())
        found += [pytest.param(case, id=f"{path.stem}: {case['name']}") for case in document.get("cases", [])]
    return found


def differences(expected: Any, found: Any, at: str = "") -> list[str]:
    """Where ``found`` is not what is expected: objects by the expected keys, lists whole, everything else equal."""
    if isinstance(expected, dict) and isinstance(found, dict):
        return [
            line
            for key, value in expected.items()
            for line in (differences(value, found[key], f"{at}.{key}") if key in found else [f"{at}.{key} missing"])
        ]
    if isinstance(expected, list) and isinstance(found, list) and len(expected) == len(found):
        return [
            line
            for i, (a, b) in enumerate(zip(expected, found, strict=True))
            for line in differences(a, b, f"{at}.{i}")
        ]
    same = expected == found and type(expected) is type(found)
    return [] if same else [f"{at}: expected {expected!r}, found {found!r}"]


def decided(case: dict[str, Any]) -> dict[str, Any]:
    decision = decide(case["rule"], case["sheets"], case["verdicts"], case["accommodation"], case["attempt_no"])
    return decision.as_dict()


@pytest.mark.parametrize("case", cases())
def test_vector(case: dict[str, Any]) -> None:
    expect = case["expect"]
    assert expect, "a vector without an expectation"
    assert case["why"].endswith("."), "a vector says why"
    if "error" in expect:
        with pytest.raises(ScoringError) as raised:
            decided(case)
        assert differences(expect["error"], raised.value.as_dict()) == []
        return
    assert differences(expect.get("decision", {}), decided(case)) == []
    for sheet in case["sheets"]:
        state = fold(case["rule"], sheet["events"]).as_dict()
        assert differences(expect.get("sheets", {}).get(sheet["id"], {}), state, sheet["id"]) == []


def test_there_are_enough_vectors_and_their_names_differ() -> None:
    names = [param.id for param in cases()]
    assert len(names) >= 40
    assert len(set(names)) == len(names)
