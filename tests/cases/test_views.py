"""The pages of cases: writing one, a draw beside it, errors at their fields; without any script."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse

from checkoffs.cases import forms
from checkoffs.cases.models import CaseTemplate
from tests.cases.make import pump_template
from tests.permission_table.cases import typed
from tests.procedures.make import drafted, ids, pulse
from tests.world import World

DEMO = sorted((Path(__file__).resolve().parents[2] / "fixtures/demo/cases").glob("*.json"))


def posted(document: dict[str, Any]) -> dict[str, Any]:
    """The form of a document as a browser posts it back unchanged."""
    form, checks = forms.CaseForm(document=document), forms.checks_of(document)
    data = {}
    for one in [form, checks.management_form, *checks]:
        for bound in one:
            if (value := bound.value()) not in (None, ""):
                data[bound.html_name] = value
    return data


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_a_case_posted_back_unchanged_means_the_same(path: Path) -> None:
    document = json.loads(path.read_text())
    data = posted(document)
    form, checks = forms.CaseForm(data, document=document), forms.checks_of(document, data)
    assert form.is_valid(), form.errors
    assert checks.is_valid(), checks.errors
    assert forms.document_of(form, checks) == document


def test_a_new_case_begins_with_what_the_rule_asks_for(world: World, signed_in: Any) -> None:
    content = pulse()
    content["rule"]["stated"] = [{"id": "vtbi", "label": "Volume", "step": ids(content)[3]}]
    procedure = drafted(world, **content)
    response = signed_in("instructor").get(reverse("cases:new", kwargs={"procedure": procedure.pk}))
    first = response.context["checks"][0]
    assert (first["id"].value(), first["label"].value(), first["find"].value()) == ("vtbi", "Volume", "vtbi")


def test_a_draw_shows_order_answer_working_slips_and_cautions_and_keeps_nothing(world: World, signed_in: Any) -> None:
    """5 mcg/kg/min × 70 kg × 60 min/h ÷ 1,600 mcg/mL = 13.125 mL/h (own arithmetic)."""
    procedure = drafted(world)
    data = typed() | {"f_dose": "5 mcg/kg/min", "f_weight": "70 kg", "seed": "3"}
    address = reverse("cases:try", kwargs={"procedure": procedure.pk})
    page = signed_in("instructor").post(address, data).content.decode()
    for words in ("dopamine 5 mcg/kg/min IV by pump", "13.1 mL/h", "1,600 mcg/mL", "independent double check",
                  "Likely slips"):  # fmt: skip
        assert words in page
    assert not CaseTemplate.objects.exists()
    assert "<html" not in page


def test_the_same_draw_comes_without_a_script(world: World, signed_in: Any) -> None:
    address = reverse("cases:new", kwargs={"procedure": drafted(world).pk})
    response = signed_in("instructor").post(address, typed() | {"do": "try", "seed": "8"})
    assert response.status_code == 200
    assert response.context["draw"]["content"]["values"]["drug_amount"] == "400 mg"
    assert not CaseTemplate.objects.exists()


def test_a_case_is_saved_with_its_combinations_counted(world: World, signed_in: Any) -> None:
    address = reverse("cases:new", kwargs={"procedure": drafted(world).pk})
    response = signed_in("instructor").post(address, typed() | {"do": "save"}, follow=True)
    assert "4 of 4 combinations of numbers were computed." in response.content.decode()
    saved = CaseTemplate.objects.get()
    assert saved.content["fields"]["dose"] == {"choose": ["3 mcg/kg/min", "5 mcg/kg/min"]}
    assert saved.content["checks"][0]["rounding"] == {"places": 1, "mode": "half_up"}


def test_errors_stand_at_their_field_with_what_was_read_and_what_is_accepted(world: World, signed_in: Any) -> None:
    address = reverse("cases:new", kwargs={"procedure": drafted(world).pk})
    client = signed_in("instructor")
    bad = typed() | {"do": "save", "f_weight": "62 kg; 83 furlongs", "order": "Give {dose} now"}
    response = client.post(address, bad)
    assert response.status_code == 422
    (error,) = response.context["form"].errors["f_weight"]
    assert "furlongs" in error
    assert "accepted" in error
    page = response.content.decode()
    assert "62 kg; 83 furlongs" in page
    assert "Give {dose} now" in page
    response = client.post(address, typed() | {"do": "save", "order": "Give {dsoe}"})
    assert "{dsoe} is neither a field" in str(response.context["form"].errors["order"])
    response = client.post(address, typed() | {"do": "save", "checks-0-step": "zero"})
    assert response.context["checks"][0].errors["step"]
    assert not CaseTemplate.objects.exists()


def test_a_conflict_keeps_what_was_typed(world: World, signed_in: Any) -> None:
    template = pump_template(world, drafted(world))
    address = reverse("cases:edit", kwargs={"template": template.pk})
    signed_in("second_instructor").post(address, typed() | {"do": "save"})
    client = signed_in("instructor")
    response = client.post(address, typed() | {"do": "save", "title": "My title"})
    assert response.status_code == 409
    page = response.content.decode()
    assert world.second_instructor.full_name in page
    assert "My title" in page
    assert client.post(address, typed(2) | {"do": "save", "title": "My title"}).status_code == 302


def test_a_case_out_of_use_comes_back(world: World, signed_in: Any) -> None:
    template = pump_template(world, drafted(world))
    client = signed_in("instructor")
    for expected in (True, False):
        client.post(reverse("cases:retire", kwargs={"template": template.pk}))
        template.refresh_from_db()
        assert (template.retired_at is not None) == expected
