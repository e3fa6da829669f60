"""Makes an export in the background, step by step, so that its progress can be shown and it can be left alone."""

from __future__ import annotations

import io
import logging
import zipfile
from collections.abc import Callable
from dataclasses import dataclass

import openpyxl
from django.utils import timezone

from checkoffs.ledger.gate import writing
from checkoffs.people.cells import csv_text, safe_cell
from checkoffs.records.models import RecordLeaf, RecordPdf
from checkoffs.reports import filling, pdf, tables
from checkoffs.reports.matrix import matrix
from checkoffs.reports.models import Export

log = logging.getLogger(__name__)
Told = Callable[[int, int], None]  # done, total
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class ExportError(RuntimeError):
    """Why an export could not be made, said to the person who asked for it."""


@dataclass(frozen=True)
class Kind:
    """One kind of file: what it is called, what is in it, and what makes its bytes."""

    label: str
    holds: str
    ending: str
    content_type: str
    make: Callable[[Export, Told], bytes]


def make(export_id: str) -> str:
    """Make one export that waits; answers its state. Whatever goes wrong is said on the page, never silent."""
    rows = Export.objects.select_related("cohort__program", "asked_by")
    export = rows.filter(pk=export_id).first()
    if export is None or export.state in ("ready", "running"):
        return export.state if export else "gone"
    kind = KINDS[export.kind]
    _tell(export, state="running", done=0, total=0)
    try:
        filling.catch_up()
        data = kind.make(export, lambda done, total: _tell(export, done=done, total=total))
    except ExportError as error:
        _tell(export, state="failed", problem=str(error))
    except Exception:
        log.exception("export %s failed", export.pk)
        problem = "The file could not be made; the server's log says why. Nothing else was touched. Ask again."
        _tell(export, state="failed", problem=problem)
    else:
        name = f"{_slug(export.cohort.name)}-{export.kind.replace('_', '-')}-{timezone.now():%Y-%m-%d}{kind.ending}"
        _tell(export, state="ready", data=data, filename=name, content_type=kind.content_type)
    return str(Export.objects.values_list("state", flat=True).get(pk=export.pk))


def _tell(export: Export, **fields: object) -> None:
    with writing():
        Export.objects.filter(pk=export.pk).update(progress_at=timezone.now(), **fields)


def _slug(name: str) -> str:
    return "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in name).strip("-") or "cohort"


def report(export: Export, told: Told) -> bytes:
    """The report as a PDF."""
    return pdf.report(export.cohort, export.asked_by, told)


def attempts_csv(export: Export, told: Told) -> bytes:
    """Every counting attempt, long form."""
    return _csv(tables.attempts(export.cohort))


def steps_csv(export: Export, told: Told) -> bytes:
    """Step figures of all procedures."""
    return _csv(tables.steps(tables.all_figures(export.cohort, matrix(export.cohort))))


def people_csv(export: Export, told: Told) -> bytes:
    """People × procedures."""
    return _csv(tables.people(matrix(export.cohort)))


def _csv(table: tables.Table) -> bytes:
    return csv_text(table.head, table.rows).encode("utf-8")


def workbook(export: Export, told: Told) -> bytes:
    """The three tables as one workbook; text cells are text, whatever they begin with."""
    book = openpyxl.Workbook(write_only=True)
    found = tables.workbook_tables(export.cohort)
    for place, table in enumerate(found):
        told(place, len(found))
        sheet = book.create_sheet(table.title)
        sheet.freeze_panes = "B2"
        for row in [table.head, *table.rows]:
            sheet.append([safe_cell(value) if isinstance(value, str) else value for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def records_zip(export: Export, told: Told) -> bytes:
    """The stored PDF of every document of the cohort, byte for byte, and an index. Stored: PDFs do not shrink."""
    leaves = list(
        RecordLeaf.objects.filter(attempt__cohort=export.cohort, content__isnull=False)
        .select_related("attempt__student", "attempt__version__procedure")
        .defer("attempt__version__content")
        .order_by("index")
    )
    waiting = RecordPdf.objects.filter(leaf__in=leaves).count()
    if waiting < len(leaves):
        missing = len(leaves) - waiting
        raise ExportError(f"{missing} of {len(leaves)} PDFs are still being set. Ask again in a few minutes.")
    out, index = io.BytesIO(), []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for place, leaf in enumerate(leaves):
            if place % 10 == 0:
                told(place, len(leaves))
            data, digest = RecordPdf.objects.values_list("data", "digest").get(leaf=leaf)
            name = f"records/{leaf.code}.pdf"
            archive.writestr(name, bytes(data))
            index.append(tables.record_line(leaf, name, digest))
        archive.writestr("index.csv", csv_text(tables.RECORDS, index))
    return out.getvalue()


PDF, CSV, ZIP = "application/pdf", "text/csv", "application/zip"
KINDS: dict[str, Kind] = {
    "report": Kind("Report", "Who is competent in what, pass rates, steps missed, for printing", ".pdf", PDF, report),
    "people_csv": Kind("Competence", "A line a student, a column a procedure", ".csv", CSV, people_csv),
    "attempts_csv": Kind("Attempts", "A line an attempt, with record codes", ".csv", CSV, attempts_csv),
    "steps_csv": Kind("Steps missed", "A line a step, with n and interval", ".csv", CSV, steps_csv),
    "workbook": Kind("Workbook", "Competence, attempts and steps as three sheets", ".xlsx", XLSX, workbook),
    "records_zip": Kind("Records", "The PDF of every sealed document, with an index", ".zip", ZIP, records_zip),
}
