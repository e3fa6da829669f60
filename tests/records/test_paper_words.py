"""How a record says times, values and accepted ranges. Zone names and offsets: the IANA time zone database."""

from __future__ import annotations

from checkoffs.records import paper_words as words


def test_moments_in_the_zone_of_the_program() -> None:
    assert words.moment("2026-10-14T09:36:05Z", "Europe/London") == "Wed 14 Oct 2026, 10:36 BST"
    assert words.moment("2026-11-25T09:36:05Z", "Europe/London") == "Wed 25 Nov 2026, 09:36 GMT"
    assert words.moment(None, "Europe/London") == ""


def test_clock_cuts_down_to_the_second() -> None:
    assert (words.clock(1_390_999), words.clock(0), words.clock(None)) == ("23:10", "0:00", "")


def test_values_and_ranges() -> None:
    assert words.value("28.9", "mL/h") == "28.9 mL/h"
    assert "no unit" in words.value("28.9", None)
    ranges = [{"low": "465", "high": "470", "verdict": "right", "why": "tolerance"}]
    assert words.accepted(ranges) == "465 to 470"


def test_lists_in_words() -> None:
    assert [words.listed(items) for items in (["a"], ["a", "b"], ["a", "b", "c"])] == ["a", "a and b", "a, b and c"]
