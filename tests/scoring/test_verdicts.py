"""The calculators give the verdicts of the vectors that the browser's verdictFor gives."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import calculators

VECTORS = json.loads(
    (Path(__file__).resolve().parents[2] / "fixtures" / "vectors" / "scoring" / "verdicts.json").read_text()
)


@pytest.mark.parametrize("vector", VECTORS["verdicts"], ids=lambda vector: vector["why"])
def test_verdict(vector: dict[str, Any]) -> None:
    found = calculators.verify(VECTORS["keys"][vector["key"]], vector["number"], vector["unit"])
    assert {name: found[name] for name in ("code", "number")} == vector["expect"]
