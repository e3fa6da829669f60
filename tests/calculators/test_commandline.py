"""The command line as specified: JSON lines in, JSON lines out, never a traceback; two ways of reading for people."""

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.commandline import main

ROOT = Path(__file__).parents[2]


def run(text, *arguments):
    target = io.BytesIO()
    source = io.BytesIO(text if isinstance(text, bytes) else text.encode())
    status = main(list(arguments), source, target)
    return status, target.getvalue().decode()


def lines(text):
    status, out = run(text)
    return status, [json.loads(line) for line in out.splitlines()]


def test_one_answer_for_each_line_in_order_and_blank_lines_skipped():
    status, answers = lines(
        '{"id": 1, "find": "rate", "given": {"volume": "500 mL", "time": "8 h"}}\n\n   \n'
        '{"id": "b", "find": "vtbi", "given": {"volume": "500 mL", "reserve": "5 %"}}'
    )
    assert status == 0
    assert [(a["id"], a["text"]) for a in answers] == [(1, "62.5 mL/h"), ("b", "475 mL")]
    assert set(answers[0]) == {"id", "exact", "value", "unit", "text", "working", "cautions"}


@pytest.mark.parametrize(
    "bad", ["x", "[1]", "12", "null", '"text"', '{"id": NaN}', '{"id": 1', "{}}", "[" * 100_000, "\ud800"]
)
def test_what_is_no_json_object_gives_an_error_line_and_the_run_goes_on(bad):
    good = '{"id": 2, "find": "rate", "given": {"volume": "500 mL", "time": "8 h"}}'
    status, answers = lines(bad.encode("utf-8", "surrogatepass") + b"\n" + good.encode())
    assert status == 2
    assert answers[0]["id"] is None
    assert answers[0]["error"]["code"] == "not_json"
    assert answers[1]["value"] == "62.5"


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.binary(max_size=60) | st.sampled_from([b"{}", b'{"id": 1}', b'{"given": {}}', b"\xff{"]), max_size=5)
)
def test_any_bytes_give_one_line_for_each_line_that_is_not_blank(parts):
    text = b"\n".join(parts)
    status, out = run(text)
    wanted = sum(bool(line.strip()) for line in text.split(b"\n"))
    answers = [json.loads(line) for line in out.splitlines()]
    assert len(answers) == wanted
    assert status == (2 if any(a["error"]["code"] == "not_json" for a in answers) else 0)


def test_a_bad_request_is_no_bad_json():
    status, answers = lines('{"id": 5, "find": "mystery", "given": {}}\n{"id": 6}\n{}')
    assert status == 0
    assert [a["error"]["code"] for a in answers] == ["unknown_find"] * 3
    assert [a["id"] for a in answers] == [5, 6, None]


@pytest.mark.parametrize("written", ["1.50", "1e5", '{"a": [0.1, null, true]}', '"ü"', "-0", "[]"])
def test_an_id_comes_back_as_it_was(written):
    _, out = run(f'{{"id": {written}, "find": "x"}}')
    back, mine = json.loads(out, parse_float=str)["id"], json.loads(written, parse_float=str)
    assert str(back).lower().replace("+", "") == str(mine).lower()


def test_the_shape_of_a_verdict():
    _, answers = lines(
        '{"find": "rate", "given": {"volume": "100 mL", "time": "40 min"}, "rounding": {"places": 0},'
        ' "said": "2.50 mL/hr"}'
    )
    verdict = answers[0]["verdict"]
    assert verdict["code"] == "wrong"
    assert verdict["notation"] == ["trailing zero: write 2.5, not 2.50"]
    assert verdict["slips"][0]["code"] == "time_base_left_out"
    assert {"code", "text", "value", "fit"} <= set(verdict["slips"][0])


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("150 mL/h", "right"),
        ("150 mL/hr", "right"),
        ("150", "missing_unit"),
        ("150 mL", "wrong_unit"),
        ("2.5 mL/min", "wrong_unit"),
        ("150 flagons/h", "wrong_unit"),
        ("15 mL/h", "wrong"),
        ("1,5 mL/h", "unreadable"),
        ("fast", "unreadable"),
        ("", "unreadable"),
    ],
)
def test_codes_of_verdicts(said, code):
    request = {
        "find": "rate",
        "given": {"volume": "100 mL", "time": "40 min"},
        "rounding": {"places": 0},
        "said": said,
    }
    assert lines(json.dumps(request))[1][0]["verdict"]["code"] == code


@pytest.mark.parametrize(
    ("said", "code"),
    [("6.7 h", "right_other_rounding"), ("6.66666666667 h", "right_other_rounding"), ("7 h", "right_other_rounding"),
     ("6.6 h", "wrong"), ("8 h", "wrong")],
)  # fmt: skip
def test_without_a_rounding_the_places_said_decide(said, code):
    request = {"find": "duration", "given": {"volume": "500 mL", "rate": "75 mL/h"}, "said": said}
    assert lines(json.dumps(request))[1][0]["verdict"]["code"] == code


def test_an_exact_answer_said_exactly_is_right():
    request = {"find": "rate", "given": {"volume": "500 mL", "time": "8 h"}, "said": "62.5 mL/h"}
    assert lines(json.dumps(request))[1][0]["verdict"]["code"] == "right"


def test_explain_writes_the_working_and_the_caution():
    status, out = run("", "--explain", "rate", "volume=500 mL", "time=8 h", "places=0", "said=62 mL/h")
    assert status == 0
    assert out.startswith("rate: 63 mL/h\n=============\n")
    assert "500 mL ÷ 8 h       = 62.5 mL/h" in out
    assert "Said: wrong" in out
    assert "Values are for a training case." in out


def test_explain_says_what_is_wrong():
    status, out = run("", "--explain", "rate", "volume=500 mL")
    assert (status, out.startswith("Not computed (missing). time: ")) == (2, True)
    assert run("", "--explain", "rate", "volume")[0] == 2
    assert run("", "--explain")[0] == 2


def test_table_prints_a_titration_table():
    status, out = run(
        "", "--table", "from=2 mcg/kg/min", "up_to=6 mcg/kg/min", "by=2 mcg/kg/min", "weight=70 kg",
        "drug_amount=800 mg", "volume=500 mL", "max_rate=15 mL/h",
    )  # fmt: skip
    assert status == 0
    assert "2 mcg/kg/min   5.3 mL/h\n" in out
    assert "6 mcg/kg/min  15.8 mL/h  limit exceeded: 15.75 mL/h is above max_rate 15 mL/h\n" in out
    assert "Values are for a training case." in out
    assert run("", "--table", "from=2 mcg/kg/min")[0] == 2


def test_help_and_an_unknown_option():
    assert run("", "--help")[0] == 0
    assert run("", "--nonsense")[0] == 2


def test_benchmark_prints_its_figures():
    status, out = run("", "--benchmark", "14")
    assert status == 0
    assert "first or tied first   100 %" in out
    assert run("", "--benchmark", "many")[0] == 2


def test_faults_of_notation_in_the_inputs_are_reported_apart():
    _, answers = lines('{"find": "rate", "given": {"volume": "500 cc", "time": "8.0 h"}}')
    assert answers[0]["value"] == "62.5"
    assert answers[0]["notation"] == ["time: trailing zero: write 8, not 8.0", "volume: cc: write mL"]


def test_as_a_process():
    done = subprocess.run(
        [sys.executable, "-m", "calculators"],
        input=b'{"find": "convert", "given": {"value": "110 lb", "to": "kg"}}\nnope\n',
        capture_output=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert json.loads(done.stdout.splitlines()[0])["text"] == "50 kg"
    assert done.stderr == b""
