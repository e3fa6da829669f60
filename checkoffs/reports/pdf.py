"""Sets the cohort report on A4. Fetches nothing but vendored fonts and marks, as the records do."""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable

import weasyprint
from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone
from weasyprint.text.fonts import FontConfiguration

from checkoffs.people.models import Cohort, User
from checkoffs.records.paper_words import day, moment
from checkoffs.records.pdf import Vendored
from checkoffs.reports.matrix import matrix
from checkoffs.reports.queries import Figures
from checkoffs.reports.tables import all_figures
from checkoffs.reports.whiskers import chart
from checkoffs.reports.words import leaving

COLUMNS = 7  # procedures a page of the table has room for
_one_at_a_time = threading.Lock()  # the font configuration is shared, and Pango's is not made for threads


class UnsafeReportError(RuntimeError):
    """The document asked for something that is not vendored."""


@functools.cache
def _sheet() -> tuple[FontConfiguration, weasyprint.CSS]:
    fonts = FontConfiguration()
    text = (settings.BASE_DIR / "static" / "css" / "report-pdf.css").read_text("utf-8")
    return fonts, weasyprint.CSS(string=text, font_config=fonts, url_fetcher=Vendored())


def report(cohort: Cohort, asked_by: User, told: Callable[[int, int], None]) -> bytes:
    """The PDF: who is competent in what, pass rates, steps missed. ``told(done, total)`` hears of progress."""
    told(0, 3)
    html = report_html(cohort, asked_by)
    told(1, 3)
    fetcher = Vendored()
    with _one_at_a_time:
        fonts, sheet = _sheet()
        made: bytes = weasyprint.HTML(string=html, url_fetcher=fetcher).write_pdf(
            stylesheets=[sheet], font_config=fonts, pdf_variant="pdf/ua-1"
        )
    if fetcher.refused:
        raise UnsafeReportError(", ".join(fetcher.refused))
    told(2, 3)
    return made


def report_html(cohort: Cohort, asked_by: User) -> str:
    """The document before it is set."""
    found, zone = matrix(cohort), cohort.program.time_zone
    now = timezone.now().isoformat()
    parts = [
        {
            "procedures": found.procedures[start : start + COLUMNS],
            "rows": [(row, row.cells[start : start + COLUMNS]) for row in found.rows],
        }
        for start in range(0, len(found.procedures), COLUMNS)
    ]
    figures = all_figures(cohort, found)
    context = {
        "cohort": cohort,
        "program": cohort.program,
        "asked_by": asked_by,
        "made": moment(now, zone),
        "made_iso": now,
        "found": found,
        "counts": found.counts(),
        "parts": parts,
        "figures": [_shown(one, zone) for one in figures],
    }
    with timezone.override(zone):
        return render_to_string("reports/report_pdf.html", context)


def _shown(one: Figures, zone: str) -> dict[str, object]:
    kept = [line for line in one.steps if not line.rate.suppressed]
    span = ""
    if one.first and one.last:
        span = f"{day(one.first.isoformat(), zone)} to {day(one.last.isoformat(), zone)}"
    return {
        "procedure": one.procedure,
        "versions": ", ".join(str(number) for number in sorted(one.versions)),
        "mixed": one.mixed,
        "attempts": one.attempts,
        "span": span,
        "first": leaving(one.passing.first),
        "ever": leaving(one.passing.ever),
        "chart": chart(kept),
        "left_out": len(one.steps) - len(kept),
    }
