"""The pages of the review room: who sees what, what stays hidden before the seal, and that lists stay cheap."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from checkoffs.records.actions import amend
from checkoffs.review.models import Acknowledgement
from tests.records.make import in_moderation, sealed_infusion
from tests.reports import make
from tests.review.make import RIGHT, teaching_infusion
from tests.world import World


def page(client: Any, attempt: Any) -> str:
    response = client.get(reverse("review:attempt", args=[attempt.pk]))
    assert response.status_code == 200
    return str(response.content.decode())


def test_the_student_reads_outcome_miss_right_way_and_numbers(world: World, signed_in: Any) -> None:
    teaching_infusion(world)
    text = page(signed_in("student"), sealed_infusion(world).attempt)
    for part in ("Unsatisfactory", RIGHT[0], "pounds taken as kilograms", "28.9", "13.1", "Ribbon of this attempt"):
        assert part in text
    assert "Watch the second hand" not in text
    assert "Values are for a training case" in text


def test_before_the_seal_nothing_is_shown(world: World, signed_in: Any) -> None:
    text = page(signed_in("student"), in_moderation(world))
    assert "Being decided" in text
    for part in ("Unsatisfactory", "Satisfactory", "not performed", "13.1"):
        assert part not in text


def test_an_amendment_says_what_stands_and_what_the_rule_gave(world: World, signed_in: Any) -> None:
    leaf = sealed_infusion(world)
    client = signed_in("student")
    client.post(reverse("review:acknowledge", args=[leaf.code]), {"statement": ""})
    made = amend(by=world.instructor, leaf=leaf, reason="Heard wrong.", changes={"outcome": "satisfactory"})
    text = page(client, leaf.attempt)
    assert "The rule had given Unsatisfactory; what stands is Satisfactory." in text
    assert "superseded" in text
    assert "I have seen this" in text  # the amendment is a document of its own
    assert made.code in text


def test_another_document_or_person_is_not_found(world: World, signed_in: Any) -> None:
    leaf = sealed_infusion(world)
    for kind in ("fellow_student", "other_cohort_student", "outsider"):
        assert signed_in(kind).get(reverse("review:attempt", args=[leaf.attempt_id])).status_code == 404
    answer = signed_in("fellow_student").post(reverse("review:acknowledge", args=[leaf.code]))
    assert answer.status_code == 404
    assert not Acknowledgement.objects.exists()


def test_a_stranger_address_is_not_followed(world: World, signed_in: Any) -> None:
    leaf = sealed_infusion(world)
    client = signed_in("student")
    client.get(reverse("review:mine"))
    task = leaf.attempt.open_tasks.first()
    answer = client.post(reverse("review:done", args=[task.pk]), {"next": "https://elsewhere.example/"})
    assert answer["Location"] == reverse("review:attempt", args=[leaf.attempt_id])


def asked(client: Any, name: str) -> int:
    """How many queries a page takes."""
    with CaptureQueriesContext(connection) as queries:
        assert client.get(reverse(name)).status_code == 200
    return len(queries)


@pytest.mark.parametrize("name", ["review:mine", "review:tasks"])
def test_lists_ask_as_much_for_three_as_for_one(name: str, world: World, signed_in: Any) -> None:
    client = signed_in("student" if name == "review:mine" else "instructor")
    sealed_infusion(world)
    asked(client, name)  # draws what follows; asked again it is a list and nothing else
    one = asked(client, name)
    for number in (2, 3):
        student = world.student if name == "review:mine" else world.fellow_student
        make.failed(world, student=student, number=number)
    asked(client, name)
    assert asked(client, name) == one


def test_what_was_acknowledged_no_longer_asks_for_it(world: World, signed_in: Any) -> None:
    leaf = make.failed(world)
    client = signed_in("student")
    assert "not acknowledged yet" in client.get(reverse("review:mine")).content.decode()
    client.post(reverse("review:acknowledge", args=[leaf.code]), {"statement": ""})
    assert "not acknowledged yet" not in client.get(reverse("review:mine")).content.decode()
