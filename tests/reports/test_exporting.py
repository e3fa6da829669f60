"""Exports: what is in each file, that no cell calculates, that failures are said, that each leaves its trace.

Cells that begin with = + - @ tab or return are text: the OWASP page on CSV injection lists these.
"""

from __future__ import annotations

import csv
import hashlib
import io
import zipfile
from datetime import timedelta
from typing import Any

import openpyxl
import pdfplumber
import pytest
from django.utils import timezone

from checkoffs.ledger.models import AuditEntry
from checkoffs.records.models import RecordPdf
from checkoffs.reports import actions, exporting
from checkoffs.reports.errors import ReportError
from checkoffs.reports.models import Export
from checkoffs.reports.queries import stalled
from tests.reports import make
from tests.world import World


def export(world: World, kind: str) -> Export:
    """Ask and make, as the worker would."""
    asked = actions.ask(by=world.coordinator, cohort=world.cohort, kind=kind)
    exporting.make(str(asked.pk))
    return Export.objects.get(pk=asked.pk)


def rows(world: World, kind: str) -> list[dict[str, str]]:
    """The lines of a CSV export."""
    text = bytes(export(world, kind).data).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_attempts_long_form(world: World) -> None:
    leaf = make.failed(world)
    (line,) = rows(world, "attempts_csv")
    assert (line["student"], line["number"], line["outcome"], line["record"], line["list version"]) == (
        "Marit Adeyemi", world.student.number, "unsatisfactory", leaf.code, "3",
    )  # fmt: skip
    assert (line["day"], line["time"], line["zone"]) == ("2026-10-14", "10:04", "Europe/London")


def test_small_figures_do_not_leave(world: World) -> None:
    """Four attempts: no figure. Five: 3 of 5 at step 24; Wilson by the formula 0.2307 to 0.8824."""
    for person in [make.enrol(world, n) for n in range(3)]:
        make.failed(world, student=person)
    make.passed(world, student=make.enrol(world, 3))
    hub = {line["step"]: line for line in rows(world, "steps_csv")}["24"]
    assert (hub["missed"], hub["of"], hub["share"], hub["remark"]) == ("", "", "", "fewer than 5")
    make.passed(world)
    hub = {line["step"]: line for line in rows(world, "steps_csv")}["24"]
    assert (hub["missed"], hub["of"], hub["share"]) == ("3", "5", "0.6")
    assert (hub["Wilson low"], hub["Wilson high"]) == ("0.2307", "0.8824")
    assert hub["remark"] == "too few for a conclusion"


@pytest.mark.parametrize("evil", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_no_cell_calculates(world: World, evil: str) -> None:
    make.failed(world)
    type(world.student).objects.filter(pk=world.student.pk).update(number=evil)
    assert rows(world, "attempts_csv")[0]["number"].startswith("'")
    book = openpyxl.load_workbook(io.BytesIO(bytes(export(world, "workbook").data)))
    kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None}
    assert kinds <= {"s", "n"}
    cells = [str(cell.value) for row in book["Competence"].iter_rows() for cell in row]
    assert evil not in cells


def test_workbook_has_three_sheets_with_numbers_as_numbers(world: World) -> None:
    make.cohort(world, 5)
    book = openpyxl.load_workbook(io.BytesIO(bytes(export(world, "workbook").data)))
    assert book.sheetnames == ["Competence", "Attempts", "Steps missed"]
    head, *lines = book["Steps missed"].iter_rows(values_only=True)
    place = head.index("of")
    assert {line[place] for line in lines} == {6}


def test_zip_holds_the_stored_bytes_uncompressed_and_an_index(world: World) -> None:
    leaf = make.failed(world)
    kept = b"%PDF-1.7 " + bytes(range(256))  # whatever was set once: the zip does not look inside
    RecordPdf.objects.create(
        leaf=leaf,
        data=kept,
        digest=hashlib.sha256(kept).hexdigest(),
        renderer="test",
        pages=1,
        rendered_at=timezone.now(),
    )
    with zipfile.ZipFile(io.BytesIO(bytes(export(world, "records_zip").data))) as archive:
        name = f"records/{leaf.code}.pdf"
        assert archive.read(name) == kept
        assert {info.compress_type for info in archive.infolist()} == {zipfile.ZIP_STORED}
        (line,) = csv.DictReader(io.StringIO(archive.read("index.csv").decode("utf-8-sig")))
    assert (line["file"], line["record"], line["SHA-256 of the PDF"]) == (
        name, leaf.code, hashlib.sha256(kept).hexdigest(),
    )  # fmt: skip


def test_zip_without_its_pdfs_fails_and_says_why(world: World) -> None:
    make.failed(world)
    found = export(world, "records_zip")
    assert (found.state, found.data) == ("failed", None)
    assert found.problem == "1 of 1 PDFs are still being set. Ask again in a few minutes."


def test_report_says_who_when_n_interval_page_and_caution(world: World) -> None:
    make.cohort(world, 10)
    found = export(world, "report")
    assert found.state == "ready"
    with pdfplumber.open(io.BytesIO(bytes(found.data))) as document:
        pages = [page.extract_text() for page in document.pages]
    text = " ".join(pages)
    for part in (
        "Cohort 26-A", "Odile Brannagh", "Adeyemi, Marit", "Harrowmere College", "95 % Wilson interval",
        "5 of 11", "21 to 72 %",
    ):  # fmt: skip
        assert part in text, part
    for place, page in enumerate(pages, start=1):
        assert f"page {place} of {len(pages)}" in page
        assert "Values are for a training case" in page


def test_nothing_typed_makes_the_report_fetch(world: World) -> None:
    """A name that is markup is printed as it is; the renderer is asked for nothing."""
    type(world.student).objects.filter(pk=world.student.pk).update(
        full_name='<img src="file:///etc/hostname"> <link rel=attachment href="http://127.0.0.1:1/">'
    )
    make.failed(world)
    found = export(world, "report")
    assert found.state == "ready", found.problem
    with pdfplumber.open(io.BytesIO(bytes(found.data))) as document:
        assert "file:///etc/hostname" in document.pages[0].extract_text().replace("\n", "")


def test_an_error_is_said_not_swallowed(world: World, monkeypatch: Any) -> None:
    def broken(*_: Any) -> bytes:
        raise RuntimeError("planted")

    monkeypatch.setitem(exporting.KINDS, "people_csv", exporting.Kind("Competence", "", ".csv", "text/csv", broken))
    found = export(world, "people_csv")
    assert found.state == "failed"
    assert "Ask again" in found.problem
    assert "planted" not in found.problem


def test_each_export_leaves_its_trace(world: World) -> None:
    make.failed(world)
    found = export(world, "attempts_csv")
    actions.take(by=world.coordinator, export=found)
    acts = list(AuditEntry.objects.filter(act__startswith="export.").values_list("act", "by", "program"))
    who, program = world.coordinator.pk, world.program.pk
    assert acts == [("export.asked", who, program), ("export.taken", who, program)]


def test_asking_needs_the_right_and_a_known_kind(world: World) -> None:
    for person, kind, code in (
        (world.instructor, "report", "may_not"),
        (world.outsider, "report", "may_not"),
        (world.coordinator, "everything", "unknown"),
    ):
        with pytest.raises(ReportError) as refused:
            actions.ask(by=person, cohort=world.cohort, kind=kind)
        assert refused.value.code == code


def test_what_is_not_ready_is_not_taken_and_old_ones_go(world: World) -> None:
    waiting = actions.ask(by=world.coordinator, cohort=world.cohort, kind="report")
    with pytest.raises(ReportError) as refused:
        actions.take(by=world.coordinator, export=waiting)
    assert refused.value.code == "not_ready"
    Export.objects.filter(pk=waiting.pk).update(asked_at=timezone.now() - timedelta(days=8))
    actions.ask(by=world.coordinator, cohort=world.cohort, kind="report")
    assert not Export.objects.filter(pk=waiting.pk).exists()


def test_a_killed_worker_shows(world: World) -> None:
    waiting = actions.ask(by=world.coordinator, cohort=world.cohort, kind="report")
    assert not stalled(waiting)
    Export.objects.filter(pk=waiting.pk).update(state="running", progress_at=timezone.now() - timedelta(minutes=11))
    waiting.refresh_from_db()
    assert stalled(waiting)
