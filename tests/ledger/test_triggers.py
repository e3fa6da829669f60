"""Each declared table is attacked through the ORM and through raw SQL, on whichever database the run uses."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.core.checks import Error
from django.db import DatabaseError, connection, migrations, models, transaction
from django.db.migrations.state import ProjectState

from checkoffs.ledger import triggers
from checkoffs.ledger.actions import audit
from checkoffs.ledger.durability import Appendable, Derived, Disposable, Editable, Frozen
from checkoffs.ledger.models import AuditEntry, Disposal
from tests.world import World

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def refused(sql: str, params: list[object] | None = None) -> None:
    """The statement must fail in the database and change nothing."""
    with (
        pytest.raises(DatabaseError, match="kept as they are"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql, params or [])


def test_every_model_declares_its_durability() -> None:
    for model in triggers.declared_models():
        assert isinstance(model.durability, Appendable | Frozen | Disposable | Derived | Editable), model


def test_audit_entry_cannot_change(world: World) -> None:
    entry = audit(by=world.administrator, act="test.made", subject=world.cohort, program=world.program)
    refused("UPDATE checkoffs_auditentry SET act = 'forged' WHERE id = %s", [entry.pk])
    refused("DELETE FROM checkoffs_auditentry")
    with pytest.raises(DatabaseError), transaction.atomic():
        AuditEntry.objects.filter(pk=entry.pk).update(act="forged")
    entry.refresh_from_db()
    assert entry.act == "test.made"


@pytest.mark.skipif(connection.vendor != "sqlite", reason="INSERT OR REPLACE is SQLite's")
def test_replace_cannot_slip_past_the_delete_trigger(world: World) -> None:
    entry = audit(by=world.administrator, act="test.made", subject=world.cohort)
    refused(
        "INSERT OR REPLACE INTO checkoffs_auditentry"
        " (id, at, act, subject_type, subject_id, detail, previous, digest)"
        " VALUES (%s, '2026-01-01', 'forged', 'x', 'y', '{}', '', 'z')",
        [entry.pk],
    )


@pytest.mark.skipif(connection.vendor != "postgresql", reason="TRUNCATE is PostgreSQL's")
def test_truncate_is_refused(db: None) -> None:
    refused("TRUNCATE checkoffs_auditentry CASCADE")


def test_disposable_row_goes_only_with_a_disposal(world: World) -> None:
    from checkoffs.attempts.models import Event
    from tests.attempts.make import open_attempt, store_event

    attempt = open_attempt(world)
    event = store_event(attempt.sheets.get(), kind="noted", payload={"text": "seen"})
    refused("DELETE FROM checkoffs_event")
    refused("UPDATE checkoffs_event SET kind = 'rated'")
    Disposal.objects.create(
        table="checkoffs_event", row=str(event.pk), why="retention", by=world.administrator, at=NOW
    )
    Event.objects.filter(pk=event.pk).delete()
    assert not Event.objects.filter(pk=event.pk).exists()


def test_frozen_since_a_column(world: World) -> None:
    from tests.attempts.make import open_attempt

    sheet = open_attempt(world).sheets.get()
    sheet.statement = "before the signature anything may change"
    sheet.signed_at = NOW
    sheet.save()
    refused("UPDATE checkoffs_sheet SET statement = 'forged'")
    refused("DELETE FROM checkoffs_sheet")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE checkoffs_sheet SET late = late + 1")
    sheet.refresh_from_db()
    assert sheet.late == 1


def test_check_names_a_missing_trigger(world: World) -> None:
    name = "keep_checkoffs_auditentry_update"
    with transaction.atomic():
        with connection.cursor() as cursor:
            tail = "" if connection.vendor == "sqlite" else " ON checkoffs_auditentry"
            cursor.execute(f"DROP TRIGGER {name}{tail}")
        found = triggers.check_installed(databases=["default"])
        assert [type(f) for f in found] == [Error]
        assert name in found[0].msg
        triggers.install(connection)
    assert triggers.check_installed(databases=["default"]) == []


@pytest.mark.django_db(transaction=True)
def test_altering_a_field_does_not_leave_the_table_open() -> None:
    """A later AlterField rebuilds the table on SQLite and drops its triggers; post_migrate puts them back."""
    from django.apps import apps

    state = ProjectState.from_apps(apps)
    wider = migrations.AlterField("auditentry", "act", models.CharField(max_length=90, db_index=True))
    after = state.clone()
    wider.state_forwards("checkoffs", after)
    with connection.schema_editor() as editor:
        wider.database_forwards("checkoffs", editor, state, after)
    triggers.install_after_migrate(using="default")
    assert triggers.missing(connection) == set()
    audit(by=None, act="test.made", subject=Disposal())
    refused("UPDATE checkoffs_auditentry SET act = 'forged'")
    with connection.schema_editor() as editor:
        wider.database_backwards("checkoffs", editor, after, state)
    triggers.install_after_migrate(using="default")
