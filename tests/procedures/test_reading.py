"""Reading of pasted checklists: own messy texts with expectations by hand, and public checklists when at hand."""

from __future__ import annotations

import json
import os
import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checkoffs.procedures.reading import Reading, read

ROOT = Path(__file__).resolve().parents[2]
VECTORS = ROOT / "fixtures" / "vectors" / "reading"
REFERENCE = Path(os.environ.get("STEPWITNESS_REFERENCE") or ROOT.parent / "shared" / "reference") / "checklists"
TEXTS = sorted(VECTORS.glob("*.txt"))


def words(text: str) -> Counter[str]:
    return Counter(re.findall(r"[^\W\d_]{2,}", text.lower()))


def words_understood(reading: Reading) -> Counter[str]:
    parts = [reading.title, *reading.unread]
    for section in reading.sections:
        parts.append(section.title)
        for step in section.steps:
            parts += [step.text, *step.subpoints]
    return words(" ".join(parts))


def test_there_are_at_least_ten_messy_texts() -> None:
    assert len(TEXTS) >= 10


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_messy_text_reads_as_a_person_would(path: Path) -> None:
    expected = json.loads(path.with_suffix(".json").read_text("utf-8"))
    with path.open(encoding="utf-8", newline="") as file:
        assert read(file.read()).as_dict() == expected


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_no_word_of_a_messy_text_is_lost(path: Path) -> None:
    text = path.read_text("utf-8")
    lost = words(text) - words_understood(read(text))
    # What a sign or a label says has become a fact: critical, the title line, the place of a section or step.
    assert set(lost) <= {"critical", "step", "title", "skill", "part", "ii"}


def public_checklists() -> list[Path]:
    return sorted(REFERENCE.glob("*.txt"))


@pytest.mark.skipif(not public_checklists(), reason="the folder of public checklists is not here")
@pytest.mark.parametrize("path", public_checklists(), ids=lambda path: path.stem)
def test_public_checklist_comes_in_whole(path: Path) -> None:
    """The counts stand in each file's own header, beside its source."""
    text = path.read_text("utf-8")
    reading = read(text)
    steps = [step for section in reading.sections for step in section.steps]
    header = re.search(r"^# steps: (.*)$", text, re.M)
    assert header
    assert len(steps) == int(header[1].split()[0])
    counted = {
        int(place): int(count) for count, place in re.findall(r"(\d+) sub-bullets under (?:step )?(\d+)", header[1])
    }
    assert {place: len(step.subpoints) for place, step in enumerate(steps, 1) if step.subpoints} == counted
    typed = [re.sub(r"^\d+\.\s|\s\[.*$", "", line) for line in text.splitlines() if re.match(r"\d+\. ", line)]
    assert [step.text for step in steps] == typed
    bullets = [line.strip()[2:] for line in text.splitlines() if line.startswith("   - ")]
    assert [point for step in steps for point in step.subpoints] == bullets
    assert text.splitlines()[0] == f"# title: {reading.title}"
    assert not set(words(text) - words_understood(reading)) - {"title"}
    comments = [line for line in text.splitlines() if line.startswith("#") and not line.startswith("# title:")]
    assert [line for line in reading.unread if line.startswith("#")] == comments


@pytest.mark.parametrize("text", ["", "   \n\t\n", "\ufeff", "----\n\n"])
def test_an_empty_text_gives_no_section(text: str) -> None:
    assert read(text).sections == ()


@pytest.mark.parametrize(
    "line",
    [
        "1. Scrub hub (critical)",
        "1. [C] Scrub hub",
        "1. *Scrub hub",
        "1. Scrub hub*",
        "*1. Scrub hub",
        "**1. Scrub hub**",
        "1. CRITICAL: Scrub hub",
        "1. Critical step - Scrub hub",
        "1. Scrub hub - CRITICAL",
        "1. **Scrub hub**",
        "1. Scrub hub **",
        "1) (C) Scrub hub",
        "1. Scrub hub [critical element]",
        "1. Scrub hub † ",
        "a) Scrub hub (CRITICAL STEP)",
        "** 1. Scrub hub",
    ],
)
def test_every_sign_of_a_critical_step_is_understood(line: str) -> None:
    reading = read(f"{line}\n2. Flush")
    step = reading.sections[0].steps[0]
    assert (step.text, step.critical) == ("Scrub hub", True)


@pytest.mark.parametrize(
    "text", ["Check the critical value with the nurse", "Rate 5 * 3 said aloud", "Wash (hands) well"]
)
def test_ordinary_words_make_no_step_critical(text: str) -> None:
    step = read(f"1. {text}\n2. Flush").sections[0].steps[0]
    assert (step.text, step.critical) == (text, False)


def test_emphasis_on_every_step_is_decoration() -> None:
    steps = read("1. **Wash**\n2. **Glove**\n3. **Drape**").sections[0].steps
    assert [step.critical for step in steps] == [False, False, False]


@pytest.mark.parametrize(
    "box",
    ["[GO] [NO GO]", "S / U", "___", "☐ ☐", "S  U", "Yes / No", "[ ] [ ]", "S ___ U ___", "( ) ( )", "Met  Not met"],
)
def test_boxes_are_taken_off_and_kept_apart(box: str) -> None:
    reading = read(f"1. Wash hands   {box}\n2. Glove   {box}\n")
    assert [step.text for step in reading.sections[0].steps] == ["Wash hands", "Glove"]
    assert reading.unread == (" ".join(box.split()),) * 2


WORD = st.text("abcdefghijklmnoprstuvwxyz", min_size=3, max_size=9)
SENTENCE = st.lists(WORD, min_size=2, max_size=8).map(lambda parts: " ".join(parts).capitalize() + ".")
LAYOUT = st.lists(st.tuples(SENTENCE, st.booleans(), st.lists(SENTENCE, max_size=3)), min_size=1, max_size=8)


@settings(max_examples=60, deadline=None)
@given(
    sections=st.lists(LAYOUT, min_size=1, max_size=4),
    stop=st.sampled_from([". ", ") ", ".\t", ": "]),
    bullet=st.sampled_from("-•*–o"),
)
def test_a_tidy_list_reads_back_exactly(
    sections: list[list[tuple[str, bool, list[str]]]], stop: str, bullet: str
) -> None:
    lines, number = [], 0
    for letter, steps in zip("ABCD", sections, strict=False):
        lines.append(f"Section {letter}: Stage {letter}")
        for text, critical, points in steps:
            number += 1
            lines.append(f"{number}{stop}{text}{' (critical)' if critical else ''}")
            lines += [f"   {bullet} {point}" for point in points]
    reading = read("\n".join(lines))
    found = [[(s.text, s.critical, list(s.subpoints)) for s in section.steps] for section in reading.sections]
    assert found == [[(text, critical, points) for text, critical, points in steps] for steps in sections]
    assert reading.unread == ()


@settings(max_examples=150, deadline=None)
@given(st.text("ab1.2)(*-•\n\t AC:#_[]|o", max_size=120))
def test_any_text_is_read_without_an_error_or_an_empty_step(text: str) -> None:
    reading = read(text)
    assert all(step.text for section in reading.sections for step in section.steps)
