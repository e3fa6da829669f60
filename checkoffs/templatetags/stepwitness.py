"""Tags and filters every page uses: marks, words, times, dates with their zone, the ribbon.

Nothing here reads the database or decides anything; it turns values into words and shapes.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django import template
from django.templatetags.static import static
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from checkoffs.attempts.ribbon import describe, draw

register = template.Library()

MARK_WORDS = {
    "performed": "performed",
    "self_corrected": "self-corrected",
    "prompted": "after a prompt",
    "said": "said, not done",
    "not_performed": "not performed",
    "not_observed": "not observed",
    "not_applicable": "not applicable",
    "open": "open",
    "covered": "said, covered",
}
OUTCOME_WORDS = {
    "satisfactory": "Satisfactory",
    "unsatisfactory": "Unsatisfactory",
    "moderation": "Needs moderation",
    "void": "Void",
}
OUTCOME_ICONS = {
    "satisfactory": "performed",
    "unsatisfactory": "not_performed",
    "moderation": "moderation",
    "void": "not_applicable",
}


@register.simple_tag
def mark_icon(code: str | None, size: int = 24, cls: str = "") -> SafeString:
    """The shape of a mark or state (`performed`, `breach`, `kept` …); no code is the empty ring, *open*.

    The shape is decoration for assistive tools: the word must be printed beside it.
    """
    name = (code or "open").replace("_", "-")
    return format_html(
        '<svg class="m m-{} {}" width="{}" height="{}" aria-hidden="true" focusable="false">'
        '<use href="{}#m-{}"/></svg>',
        name,
        cls,
        size,
        size,
        static("img/marks.svg"),
        name,
    )


@register.simple_tag
def keystone(number: int | str, state: str = "open", cls: str = "") -> SafeString:
    """A critical step's keystone with its number; state is `open`, `settled` or `failed`."""
    shape = "critical-line" if state == "settled" else "critical"
    return format_html(
        '<span class="ks {} {}"><svg class="m" aria-hidden="true" focusable="false"><use href="{}#m-{}"/></svg>'
        '<em><span class="vh">step </span>{}</em></span>',
        state,
        cls,
        static("img/marks.svg"),
        shape,
        number,
    )


@register.filter
def mark_word(code: str | None) -> str:
    """A mark's code in words: `said` gives *said, not done*; no code gives *open*."""
    return MARK_WORDS.get(code or "open", str(code))


@register.simple_tag
def outcome_word(outcome: str | None) -> str:
    """An outcome's code in words, with a capital; no outcome gives *Not decided*."""
    return OUTCOME_WORDS.get(outcome or "", str(outcome or "Not decided"))


@register.simple_tag
def outcome_icon(outcome: str | None, size: int = 56) -> SafeString:
    """The shape that stands before the outcome's word."""
    return mark_icon(OUTCOME_ICONS.get(outcome or "", "open"), size)


def clock_text(ms: float | int | None) -> str:
    """Milliseconds as m:ss, cut down to the whole second: 1390999 gives `23:10`; nothing gives ''."""
    if ms is None:
        return ""
    seconds = int(abs(ms)) // 1000
    return f"{'−' if ms <= -1000 else ''}{seconds // 60}:{seconds % 60:02d}"


@register.simple_tag(name="clock")
def clock_tag(ms: float | int | None) -> str:
    """`{% clock ms %}`: see `clock_text`."""
    return clock_text(ms)


@register.filter(name="clock")
def clock_filter(ms: float | int | None) -> str:
    """`{{ ms|clock }}`: see `clock_text`."""
    return clock_text(ms)


def zone_word(moment: datetime) -> str:
    """The zone of an aware moment as people write it: `BST`; where a zone has no letters, `UTC-03`."""
    name = moment.tzname() or ""
    return f"UTC{name}" if name[:1] in "+-" else name


def moment_text(moment: datetime | None) -> str:
    """`Wed 14 Oct 2026, 10:05 BST` in the zone now in force; a naive moment is a mistake and raises."""
    if moment is None:
        return ""
    local = timezone.localtime(moment)
    return f"{day_text(local)}, {local:%H:%M} {zone_word(local)}"


def day_text(day: date | None) -> str:
    """`Wed 14 Oct 2026`; an aware moment is first moved to the zone now in force."""
    if day is None:
        return ""
    if isinstance(day, datetime) and timezone.is_aware(day):
        day = timezone.localtime(day)
    return f"{day:%a} {day.day} {day:%b} {day:%Y}"


@register.filter(name="moment")
def moment_filter(moment: datetime | None) -> str:
    """`{{ when|moment }}`: plain words, for titles and attributes."""
    return moment_text(moment)


@register.filter(name="day")
def day_filter(day: date | None) -> str:
    """`{{ date|day }}`: plain words."""
    return day_text(day)


@register.filter(name="short_day")
def short_day_filter(day: date | None) -> str:
    """`{{ date|short_day }}`: `14 Oct`, for tight tables whose head says the year."""
    if day is None:
        return ""
    if isinstance(day, datetime) and timezone.is_aware(day):
        day = timezone.localtime(day)
    return f"{day.day} {day:%b}"


@register.simple_tag
def when(moment: datetime | None) -> SafeString:
    """A `<time>` element: words for people, ISO 8601 for machines."""
    if moment is None:
        return SafeString("")
    return format_html('<time datetime="{}">{}</time>', moment.isoformat(timespec="seconds"), moment_text(moment))


@register.simple_tag(takes_context=True)
def page_link(context: Mapping[str, Any], number: int) -> str:
    """`?page=3` with the other filters of the address kept, for `_parts/pagination.html`."""
    request = context.get("request")
    if request is None:
        return f"?page={number}"
    query = request.GET.copy()
    query["page"] = str(number)
    return f"?{query.urlencode()}"


@register.simple_tag
def ribbon(state: Mapping[str, Any], rule: Mapping[str, Any], **options: Any) -> SafeString:
    """`{% ribbon state rule width=720 limit_ms=… label=… %}`: see `checkoffs.attempts.ribbon.draw`.

    The drawing escapes the label itself; everything else in it is numbers and fixed words.
    """
    return SafeString(draw(state, rule, **_given(options)))


@register.simple_tag
def ribbon_words(state: Mapping[str, Any], rule: Mapping[str, Any], **options: Any) -> list[str]:
    """`{% ribbon_words state rule titles=… as sentences %}`: the ribbon for people who do not see it."""
    return describe(state, rule, **_given(options))


def _given(options: Mapping[str, Any]) -> dict[str, Any]:
    """Without those a template left unset, which arrive as ''."""
    return {name: value for name, value in options.items() if value not in ("", None)}
