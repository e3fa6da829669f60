"""The forms of a rule: posted back unchanged they change nothing, and an id keeps its entry."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checkoffs.procedures.content import completed
from checkoffs.procedures.forms.rule import RuleForm, list_values, rule_lists
from tests.procedures.make import ids, pulse
from tests.procedures.views.make import rule_data

DEMO = sorted((Path(__file__).resolve().parents[3] / "fixtures/demo/procedures").glob("*.json"))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_a_rule_posted_back_unchanged_is_the_same_rule(path: Path) -> None:
    content = completed(json.loads(path.read_text()))
    data = rule_data(content)
    form, lists = RuleForm(data, content=content), rule_lists(content, data)
    assert form.is_valid(), form.errors
    assert all(lines.is_valid() for lines in lists.values())
    assert {**form.values(), **list_values(lists, lambda: "new")} == content["rule"]


def test_a_line_that_is_ticked_leaves_and_a_new_one_gets_an_id() -> None:
    content, steps = pulse(), ids(pulse())
    content["rule"]["pairs"] = [{"id": "p1", "before": steps[0], "after": steps[1], "critical": False}]
    data = rule_data(content) | {"pairs-0-DELETE": "on", "pairs-1-before": steps[1], "pairs-1-after": steps[2]}
    lists = rule_lists(content, data)
    assert lists["pairs"].is_valid()
    assert list_values(lists, lambda: "new")["pairs"] == [
        {"id": "new", "before": steps[1], "after": steps[2], "critical": False}
    ]


def test_only_departures_from_the_usual_scale_are_kept() -> None:
    data = rule_data(pulse()) | {"satisfies_prompted": "on", "credit_said": "0.5"}
    form = RuleForm(data, content=pulse())
    assert form.is_valid(), form.errors
    assert form.values()["mark_scale"] == {
        "prompted": {"credit": "1", "satisfies": True},
        "said": {"credit": "0.5", "satisfies": False},
    }
