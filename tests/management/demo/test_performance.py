"""The demo's performances: in time order, keeping the procedure's gaps unless the plan breaks them."""

from __future__ import annotations

import json
from random import Random
from typing import Any

import pytest
from django.conf import settings

from checkoffs.management.demo.performance import Plan, perform
from checkoffs.management.demo.stories import SESSIONS, TALES, ordinary
from checkoffs.procedures.content import numbered_steps
from checkoffs.scoring.decide import decide

FOLDER = settings.BASE_DIR / "fixtures" / "demo" / "procedures"
PROCEDURES = {path.stem: json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json"))}
WITHOUT_NUMBERS = [name for name, content in PROCEDURES.items() if not content["rule"]["stated"]]


def outcome(content: dict[str, Any], taps: list[Any]) -> dict[str, Any]:
    """Decide a performance as the server would."""
    from checkoffs.procedures.content import scoring_rule

    events = [
        {"id": f"e{n}", "sheet": "s", "by": "b", "device": "d", "seq": n, "at_ms": at, "wall": "2026-03-02T09:00:00Z",
         "kind": kind, "payload": payload, "source": "tablet"}
        for n, (kind, payload, at) in enumerate(taps, 1)
    ]  # fmt: skip
    decided: dict[str, Any] = decide(
        scoring_rule(content), [{"id": "s", "kind": "primary", "events": events}], {}, {"time_factor": "1"}
    ).as_dict()
    return decided


@pytest.mark.parametrize("name", WITHOUT_NUMBERS)
@pytest.mark.parametrize("seed", range(5))
def test_doing_everything_passes(name: str, seed: int) -> None:
    taps = perform(PROCEDURES[name], None, Plan(), Random(seed))
    assert [at for _, _, at in taps] == sorted(at for _, _, at in taps)
    decision = outcome(PROCEDURES[name], taps)
    assert (decision["outcome"], decision["settle"]) == ("satisfactory", [])


@pytest.mark.parametrize("name", WITHOUT_NUMBERS)
def test_a_missed_critical_step_is_the_reason(name: str) -> None:
    critical = [held.step["id"] for held in numbered_steps(PROCEDURES[name]) if held.step["critical"]]
    for step in critical:
        decision = outcome(
            PROCEDURES[name], perform(PROCEDURES[name], None, Plan(marks={step: "not_performed"}), Random(1))
        )
        assert decision["outcome"] == "unsatisfactory", step
        assert any(r["kind"] == "critical" and r["step"] == step and r["decides"] for r in decision["reasons"])


def test_going_slowly_runs_over_the_limit() -> None:
    decision = outcome(
        PROCEDURES["hand-hygiene"], perform(PROCEDURES["hand-hygiene"], None, Plan(pace=1.2), Random(3))
    )
    assert {r["kind"] for r in decision["reasons"] if r["decides"]} == {"time"}


def test_a_stop_ends_the_log() -> None:
    taps = perform(PROCEDURES["sterile-dressing"], None, Plan(stop=("clean", "safety", "why")), Random(3))
    assert "finished" not in {kind for kind, _, _ in taps}
    assert not any(payload.get("step") == "clean" for _, payload, _ in taps)


def test_tales_name_things_that_exist() -> None:
    people = json.loads((settings.BASE_DIR / "fixtures" / "demo" / "college.json").read_text())
    students = {name: cohort for cohort, names in people["students"].items() for name in names}
    told = {(cohort, session.procedure) for session in SESSIONS for cohort in [session.cohort]}
    for (student, procedure), tale in TALES.items():
        assert (students[student], procedure) in told
        steps = {held.step["id"] for held in numbered_steps(PROCEDURES[procedure])}
        named = {*tale.plan.marks, *(p[0] for p in tale.plan.prompts), *(n[0] for n in tale.plan.notes)}
        assert named <= steps, (student, procedure, named - steps)


def test_ordinary_passes_are_seeded() -> None:
    steps = [held.step["id"] for held in numbered_steps(PROCEDURES["urinary-catheter"])]
    assert ordinary(Random(9), steps, set()) == ordinary(Random(9), steps, set())
