"""Promise 7: the browser's fold and the server's give the very same answer, whole, for every vector and random logs.

Twin modules: decide, judge, steps, limits, order, score, standing, clock, stated, events, rule, exact, finding.
"""

from __future__ import annotations

import json
import random
import subprocess
from pathlib import Path
from typing import Any

from checkoffs.scoring.decide import decide
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.events import PAYLOADS, UNDOABLE
from checkoffs.scoring.fold import fold
from tests.scoring.logs import random_case
from tests.scoring.test_vectors import cases

ROOT = Path(__file__).resolve().parents[2]


def in_browser(wanted: list[dict[str, Any]]) -> list[dict[str, Any]]:
    run = subprocess.run(
        ["node", "tests/js/scoring_run.mjs"],
        cwd=ROOT,
        input=json.dumps(wanted),
        capture_output=True,
        text=True,
        check=True,
    )
    answer: list[dict[str, Any]] = json.loads(run.stdout)
    return answer


def on_server(case: dict[str, Any]) -> dict[str, Any]:
    def guarded(work: Any) -> Any:
        try:
            return work().as_dict()
        except ScoringError as error:
            return {"error": {name: error.as_dict()[name] for name in ("code", "field", "index")}}

    rule, sheets = case["rule"], case["sheets"]
    more = (case["verdicts"], case["accommodation"], case["attempt_no"])
    answer = {
        "decision": guarded(lambda: decide(rule, sheets, *more)),
        "states": [guarded(lambda sheet=sheet: fold(rule, sheet["events"])) for sheet in sheets],
    }
    whole: dict[str, Any] = json.loads(json.dumps(answer))
    return whole


def disagreements(wanted: list[dict[str, Any]]) -> list[tuple[dict[str, Any], Any, Any]]:
    found = []
    for case, browser in zip(wanted, in_browser(wanted), strict=True):
        server = on_server(case)
        if server != browser:
            found.append((case, server, browser))
    return found


def test_both_folds_agree_on_every_vector() -> None:
    vectors = [param.values[0] for param in cases()]
    assert [case["name"] for case, _, _ in disagreements(vectors)] == []


def test_both_folds_agree_on_random_attempts() -> None:
    dice = random.Random(20261014)
    wanted = [random_case(dice) for _ in range(600)]
    outcomes = {on_server(case)["decision"].get("outcome", "error") for case in wanted}
    assert outcomes == {"satisfactory", "unsatisfactory", "moderation", "void", "error"}
    differing = disagreements(wanted)
    assert [(server, browser) for _, server, browser in differing[:1]] == []


def test_the_browsers_tables_are_the_servers() -> None:
    """Events' payloads and what can be undone: data that is written twice."""
    script = """
      const { PAYLOADS, UNDOABLE } = await import("./static/js/scoring/events.js");
      console.log(JSON.stringify([PAYLOADS, [...UNDOABLE].sort()]));
    """
    run = subprocess.run(
        ["node", "--input-type=module", "-e", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert json.loads(run.stdout) == [PAYLOADS, sorted(UNDOABLE)]
