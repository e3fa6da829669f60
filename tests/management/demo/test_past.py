"""The past is played through the real actions: two short sessions, everything sealed, the audit chain whole."""

from __future__ import annotations

import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from checkoffs.attempts.models import Attempt, State
from checkoffs.ledger.queries import first_broken_entry
from checkoffs.management.demo import college, past, today
from checkoffs.management.demo.stories import DRIP, HANDS, Session
from checkoffs.people.models import Program, User
from checkoffs.records.models import LeafKind, RecordLeaf

NOW = datetime(2026, 10, 14, 15, 0, tzinfo=UTC)
SHORT = (Session("26-B", HANDS, 43, 8, ("Desmond Achterberg",)), Session("26-A", DRIP, 30, 4, ("Jo Castellane",)))


@pytest.fixture
def short_past(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Two sessions instead of eleven, no day, and sign-ins in a folder of the test."""
    monkeypatch.setattr(past, "SESSIONS", SHORT)
    monkeypatch.setattr(college, "SIGN_INS", tmp_path / "sign-ins.json")


def test_past_is_sealed_and_dated(db: None, short_past: None) -> None:
    entered = college.enter(NOW)
    past.Past(entered, NOW, 7).play()
    attempts = Attempt.objects.filter(cohort__name="26-B")
    assert set(attempts.values_list("state", flat=True)) == {State.SEALED}
    assert {a.sealed_at.date().isoformat() for a in attempts} == {"2026-09-01", "2026-09-07"}  # the day, and a retake
    assert set(attempts.values_list("outcome", flat=True)) == {"satisfactory", "unsatisfactory"}
    assert RecordLeaf.objects.filter(kind=LeafKind.AMENDMENT).count() == 1
    assert first_broken_entry() is None
    wrong = Attempt.objects.get(student__full_name="Jess Calloway", number=1)
    assert wrong.outcome == "unsatisfactory"


def test_the_command_loads_once_and_prints_again(
    db: None, short_past: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(today, "play", lambda *_: None)
    call_command("demo")
    people = User.objects.count()
    first = capsys.readouterr().out
    call_command("demo")
    assert User.objects.count() == people
    assert first.splitlines()[-3:] == capsys.readouterr().out.splitlines()[-3:]
    assert "odile.brannagh" in first
    assert stat.S_IMODE(college.SIGN_INS.stat().st_mode) == 0o600


def test_the_command_refuses_beside_real_data(db: None, short_past: None) -> None:
    Program.objects.create(name="A real program", institution="Somewhere")
    with pytest.raises(CommandError, match="not mixed"):
        call_command("demo")
    with pytest.raises(CommandError, match="nothing was removed"):
        call_command("forget_demo")
