"""Words, shapes, times and dates as pages print them."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.template import Context, Template
from django.test import RequestFactory
from django.utils import timezone

from checkoffs.scoring.rule import MARKS
from checkoffs.templatetags import stepwitness as tags
from tests.attempts.ribbon_sheets import FULL, rule, sheet

SPRITE = (Path(__file__).resolve().parents[2] / "static/img/marks.svg").read_text()
MOMENT = datetime(2026, 10, 14, 9, 5, tzinfo=UTC)


def render(source: str, **context: object) -> str:
    return Template("{% load stepwitness %}" + source).render(Context(context))


@pytest.mark.parametrize("code", [*MARKS, None, "breach", "moderation", "critical_line"])
def test_each_mark_has_its_shape_in_the_sprite(code: str | None) -> None:
    icon = tags.mark_icon(code, 20)
    (name,) = re.findall(r'#(m-[a-z-]+)"', icon)
    assert f'id="{name}"' in SPRITE
    assert 'aria-hidden="true"' in icon


def test_every_mark_has_its_own_word() -> None:
    words = [tags.mark_word(code) for code in MARKS]
    assert len(set(words)) == len(MARKS)
    assert not set(words) & set(MARKS) - {"performed"}
    assert tags.mark_word(None) == "open"


def test_every_outcome_has_a_word_and_a_shape() -> None:
    for outcome in ("satisfactory", "unsatisfactory", "moderation", "void"):
        assert tags.outcome_word(outcome)[0].isupper()
        assert f'id="m-{tags.OUTCOME_ICONS[outcome].replace("_", "-")}"' in SPRITE
    assert tags.outcome_word(None) == "Not decided"


@pytest.mark.parametrize(
    ("ms", "text"),
    [
        (0, "0:00"),
        (59_999, "0:59"),
        (1_390_999, "23:10"),
        (6_000_000, "100:00"),
        (None, ""),
        (-61_000, "−1:01"),
        (-999, "0:00"),
    ],
)
def test_clock_cuts_to_the_whole_second(ms: int | None, text: str) -> None:
    assert render("{% clock ms %}|{{ ms|clock }}", ms=ms) == f"{text}|{text}"


@pytest.mark.parametrize(
    ("zone", "text"),
    [
        ("Europe/London", "Wed 14 Oct 2026, 10:05 BST"),
        ("UTC", "Wed 14 Oct 2026, 09:05 UTC"),
        ("America/Sao_Paulo", "Wed 14 Oct 2026, 06:05 UTC-03"),
        ("Pacific/Auckland", "Wed 14 Oct 2026, 22:05 NZDT"),
    ],
)
def test_a_moment_is_told_in_the_zone_in_force_with_its_name(zone: str, text: str) -> None:
    with timezone.override(ZoneInfo(zone)):
        assert render("{% when at %}", at=MOMENT) == f'<time datetime="2026-10-14T09:05:00+00:00">{text}</time>'


def test_a_day_near_midnight_is_the_zones_own_day() -> None:
    late = datetime(2026, 10, 14, 23, 30, tzinfo=UTC)
    with timezone.override(ZoneInfo("Europe/London")):
        assert render("{{ at|day }}, {{ at|short_day }}, {{ day|day }}", at=late, day=date(2026, 1, 2)) == (
            "Thu 15 Oct 2026, 15 Oct, Fri 2 Jan 2026"
        )


def test_a_naive_moment_is_refused() -> None:
    with pytest.raises(ValueError, match="naive"):
        tags.moment_text(datetime(2026, 10, 14))


def test_page_links_keep_the_filters() -> None:
    request = RequestFactory().get("/list/", {"q": "a&b", "page": "1"})
    assert (
        Template("{% load stepwitness %}{% page_link 3 %}").render(Context({"request": request}))
        == "?q=a%26b&amp;page=3"
    )


def test_a_keystone_escapes_what_it_is_given() -> None:
    assert "<b>" not in tags.keystone("<b>", "failed")
    assert "#m-critical-line" in tags.keystone(5, "settled")


def test_the_ribbon_part_draws_three_widths_and_says_it_in_words() -> None:
    page = render('{% include "_parts/ribbon.html" %}', state=sheet(FULL), rule=rule(), titles={"a": "<i>Before</i>"})
    assert re.findall(r'class="ribbon" width="(\d+)"', page) == ["1232", "704", "328"]
    assert "Section A, &lt;i&gt;Before&lt;/i&gt;: last mark 1:30." in page
