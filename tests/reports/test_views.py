"""The pages of the reports room: figures with their n, filters in the address, others not found, cheap lists."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from checkoffs.reports.models import Export
from tests.records.make import version_of
from tests.reports import make
from tests.world import World


def got(client: Any, address: str, **query: str) -> str:
    response = client.get(address, query)
    assert response.status_code == 200
    return str(response.content.decode())


def cohort_address(world: World) -> str:
    return reverse("reports:cohort", args=[world.cohort.pk])


def figures_address(world: World) -> str:
    return reverse("reports:procedure", args=[world.cohort.pk, version_of(world).procedure_id])


def test_the_cohort_says_state_attempts_and_why(world: World, signed_in: Any) -> None:
    make.cohort(world, 3)
    text = got(signed_in("coordinator"), cohort_address(world))
    for part in (
        "seen 14 Oct",
        "retake owed",
        "critical steps 14, 24",
        "Adeyemi, Marit",
        "Jo Castellane",
        "2</b> retakes",
    ):
        assert part in text, part


def test_filters_stand_in_the_address(world: World, signed_in: Any) -> None:
    make.cohort(world, 3)
    text = got(signed_in("coordinator"), cohort_address(world), q="Dlamini")
    assert "Dlamini, Sipho" in text
    assert "Adeyemi, Marit" not in text
    nobody = got(signed_in("coordinator"), cohort_address(world), q="nobody")
    assert "No student fits these filters." in nobody


def test_each_step_has_n_and_interval(world: World, signed_in: Any) -> None:
    """5 of 11: 45 %, Wilson 21 to 72 %."""
    make.cohort(world, 10)
    text = got(signed_in("instructor"), figures_address(world))
    for part in ("5 of 11", "45 %", "21 to 72 %", "6 of 11, 55 % (28 to 79 %)", "wk alarm"):
        assert part in text, part


def test_few_are_hollow_and_say_so(world: World, signed_in: Any) -> None:
    make.cohort(world, 2)
    text = got(signed_in("instructor"), figures_address(world))
    assert "too few for a conclusion" in text
    assert "wk few" in text
    assert "wk alarm" not in text


def test_first_attempts_only_and_a_date_that_cannot_be_read(world: World, signed_in: Any) -> None:
    make.failed(world)
    make.passed(world, number=2)
    client, address = signed_in("instructor"), figures_address(world)
    assert "1 of 2" in got(client, address)
    first = got(client, address, attempts="first")
    assert "1 of 1" in first
    assert got(client, address, since="yesterday, about noon")
    assert "There are no figures yet" in got(client, address, since="2026-11-01")


def test_other_cohorts_and_programs_are_not_found(world: World, signed_in: Any) -> None:
    for kind, cohort in (("instructor", world.other_cohort), ("coordinator", world.foreign_cohort)):
        assert signed_in(kind).get(reverse("reports:cohort", args=[cohort.pk])).status_code == 404
    address = reverse("reports:procedure", args=[world.foreign_cohort.pk, version_of(world).procedure_id])
    assert signed_in("outsider").get(address).status_code == 404


def test_an_export_is_asked_for_followed_and_saved(
    world: World, signed_in: Any, django_capture_on_commit_callbacks: Any
) -> None:
    make.failed(world)
    client = signed_in("coordinator")
    address = reverse("reports:exports", args=[world.cohort.pk])
    with django_capture_on_commit_callbacks(execute=True):
        client.post(address, {"kind": "people_csv"})
    export = Export.objects.get()
    state = client.get(reverse("reports:export_state", args=[export.pk])).json()
    assert (state["state"], state["problem"]) == ("ready", "")
    saved = client.get(reverse("reports:export_file", args=[export.pk]))
    assert saved["Content-Disposition"].startswith('attachment; filename="26-A-people-csv-')
    assert "Adeyemi, Marit" in saved.content.decode()
    assert "no-store" in saved["Cache-Control"]


def asked(client: Any, address: str) -> int:
    """How many queries a page takes, when what follows from seals was drawn before."""
    client.get(address)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return len(queries)


@pytest.mark.parametrize("page", ["cohort_list", "cohort", "procedure", "exports"])
def test_pages_ask_as_much_for_three_as_for_one(page: str, world: World, signed_in: Any) -> None:
    addresses = {
        "cohort_list": reverse("reports:cohort_list"),
        "cohort": cohort_address(world),
        "procedure": figures_address(world),
        "exports": reverse("reports:exports", args=[world.cohort.pk]),
    }
    client = signed_in("coordinator")
    make.failed(world)
    Export.objects.create(kind="report", cohort=world.cohort, asked_by=world.coordinator)
    one = asked(client, addresses[page])
    make.cohort(world, 2)
    for _ in range(2):
        Export.objects.create(kind="report", cohort=world.cohort, asked_by=world.coordinator)
    assert asked(client, addresses[page]) == one
