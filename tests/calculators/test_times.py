"""Clock times across midnight and daylight-saving changes, and intervals held against their published bounds.

Dates of the changes: IANA time zone database (America/Chicago 2026: forward 8 March, back 1 November).
"""

import pytest

import calculators


def due(**given):
    return calculators.solve({"find": "due", "given": given})


@pytest.mark.parametrize(
    ("start", "interval", "zone", "end"),
    [
        ("2026-10-14T22:05", "8 h", None, "2026-10-15T06:05:00"),
        ("2026-10-14 22:05", "96 h", None, "2026-10-18T22:05:00"),
        ("2026-10-14T22:05+02:00", "90 min", None, "2026-10-14T23:35:00+02:00"),
        ("2026-12-31T23:00", "2 h", "America/Chicago", "2027-01-01T01:00:00-06:00"),
        ("2026-10-31T22:00", "8 h", "America/Chicago", "2026-11-01T05:00:00-06:00"),
        ("2026-03-07T22:00", "8 h", "America/Chicago", "2026-03-08T07:00:00-05:00"),
        ("2026-11-01T01:30-05:00", "1 h", "America/Chicago", "2026-11-01T01:30:00-06:00"),
        ("2026-10-28T22:00", "7 days", "America/Chicago", "2026-11-04T21:00:00-06:00"),
        ("2028-02-28T12:00", "24 h", None, "2028-02-29T12:00:00"),
    ],
)
def test_due(start, interval, zone, end):
    answer = due(start=start, interval=interval, **({"zone": zone} if zone else {}))
    assert answer["value"] == end


def test_the_answer_has_the_shape_of_all_answers():
    answer = due(start="2026-10-31T22:00", interval="8 h", zone="America/Chicago")
    assert set(answer) == {"id", "exact", "value", "unit", "text", "working", "cautions"}
    assert answer["text"] == "2026-11-01 05:00 CST (America/Chicago)"
    assert answer["cautions"] == ["the clocks change on the way: -0500 at the start, -0600 at the end"]


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({"interval": "8 h"}, "missing", "start"),
        ({"start": "2026-10-14T10:00"}, "missing", "interval"),
        ({"start": "yesterday", "interval": "8 h"}, "not_a_number", "start"),
        ({"start": "2026-10-14", "interval": "8 h"}, "not_a_number", "start"),
        ({"start": "2026-02-30T10:00", "interval": "8 h"}, "not_a_number", "start"),
        ({"start": "0001-01-01T00:00", "interval": "8 h"}, "out_of_range", "start"),
        ({"start": "2026-10-14T10:00", "interval": "8 mL"}, "wrong_dimension", "interval"),
        ({"start": "2026-10-14T10:00", "interval": "999 weeks"}, "out_of_range", "interval"),
        ({"start": "2026-10-14T10:00", "interval": "8 h", "zone": "Mars/North"}, "unknown_value", "zone"),
        ({"start": "2026-10-14T10:00", "interval": "8 h", "zone": "../etc/passwd"}, "unknown_value", "zone"),
        ({"start": "2026-11-01T01:30", "interval": "8 h", "zone": "America/Chicago"}, "conflict", "start"),
        ({"start": "2026-03-08T02:30", "interval": "8 h", "zone": "America/Chicago"}, "out_of_range", "start"),
        ({"start": "2026-10-14T10:00+09:00", "interval": "8 h", "zone": "America/Chicago"}, "conflict", "start"),
        ({"start": "2026-10-14T10:00", "interval": "8 h", "item": "tea"}, "unknown_value", "item"),
    ],
)
def test_refused(given, code, field):
    error = due(**given)["error"]
    assert (error["code"], error["field"]) == (code, field)


def test_a_time_shown_twice_names_both_readings():
    message = due(start="2026-11-01T01:30", interval="8 h", zone="America/Chicago")["error"]["message"]
    assert "2026-11-01T01:30-05:00" in message
    assert "2026-11-01T01:30-06:00" in message


def test_how_long_a_bag_runs_says_when_it_ends():
    given = {"volume": "500 mL", "rate": "75 mL/h", "start": "2026-10-31T22:00", "zone": "America/Chicago"}
    answer = calculators.solve({"find": "duration", "given": given, "rounding": {"places": 1}})
    assert answer["ends"] == "2026-11-01T03:40:00-06:00"
    assert due(**given)["value"] == "2026-11-01T03:40:00-06:00"


@pytest.mark.parametrize(
    ("item", "interval", "said"),
    [
        ("continuous_set", "96 h", None),
        ("continuous_set", "7 days", None),
        ("continuous_set", "72 h", "shorter than 96 h"),
        ("continuous_set", "8 days", "longer than 168 h"),
        ("intermittent_set", "24 h", None),
        ("intermittent_set", "25 h", "longer than 24 h"),
        ("blood", "4 h", None),
        ("blood", "5 h", "longer than 4 h"),
        ("lipid", "25 h", "longer than 24 h"),
        ("propofol", "5 h", "shorter than 6 h"),
        ("propofol", "13 h", "longer than 12 h"),
        ("beyond_use_room", "13 h", "longer than 12 h"),
        ("beyond_use_cold", "25 h", "longer than 24 h"),
        ("immediate_use", "5 h", "longer than 4 h"),
    ],
)
def test_an_interval_outside_what_is_published_earns_a_note_with_its_source(item, interval, said):
    """Bounds: CDC/HICPAC 2011 and INS as charted in training material; USP <797> from memory."""
    cautions = due(start="2026-06-14T10:00", interval=interval, item=item)["cautions"]
    if said is None:
        assert cautions == []
    else:
        assert said in cautions[0]
        assert cautions[0].endswith(")")
