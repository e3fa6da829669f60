"""Database triggers made from each model's declared durability, for SQLite and PostgreSQL.

Python rules protect against our own mistakes only; these hold against raw SQL as well. They are installed after
every migrate, because a later AlterField on SQLite rebuilds a table and silently drops its triggers, and they
are verified by a check and at start.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.core.checks import CheckMessage, Error
from django.core.exceptions import ImproperlyConfigured
from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

from checkoffs.ledger.durability import Appendable, Derived, Disposable, Editable, Frozen

PREFIX = "keep_"


def declared_models() -> list[type[models.Model]]:
    """Every model of the app, in a stable order."""
    return sorted(apps.get_app_config("checkoffs").get_models(), key=lambda model: model._meta.db_table)


def _changed(model: type[models.Model], apart_from: tuple[str, ...], unlike: str) -> str:
    columns = [f.column for f in model._meta.concrete_fields if f.name not in apart_from]
    return "(" + " OR ".join(f'OLD."{c}" {unlike} NEW."{c}"' for c in columns) + ")"


def guards(model: type[models.Model], vendor: str) -> dict[str, str]:
    """The condition under which UPDATE and DELETE of a row are refused, by verb; absent: allowed."""
    durability = model.durability  # type: ignore[attr-defined]
    unlike = "IS NOT" if vendor == "sqlite" else "IS DISTINCT FROM"
    key = f'OLD."{model._meta.pk.column}"'
    if isinstance(durability, Appendable):
        return {"update": "TRUE", "delete": "TRUE"}
    if isinstance(durability, Frozen):
        frozen = "TRUE"
        if durability.since:
            frozen = f'OLD."{model._meta.get_field(durability.since).column}" IS NOT NULL'  # type: ignore[union-attr]
        update = f"{frozen} AND {_changed(model, durability.apart_from, unlike)}" if durability.apart_from else frozen
        return {"update": update, "delete": frozen}
    if isinstance(durability, Disposable):
        as_text = f"REPLACE(CAST({key} AS TEXT), '-', '')"
        allowed = (
            f'SELECT 1 FROM "checkoffs_disposal" d WHERE d."table" = \'{model._meta.db_table}\' '
            f"AND REPLACE(d.\"row\", '-', '') = {as_text}"
        )
        return {"update": "TRUE", "delete": f"NOT EXISTS ({allowed})"}
    if isinstance(durability, Derived | Editable):
        return {}
    raise ImproperlyConfigured(f"{model.__name__} declares no durability.")


def _message(model: type[models.Model], verb: str) -> str:
    return f"rows of {model._meta.db_table} are kept as they are: {verb} refused"


def _install_sql(model: type[models.Model], vendor: str) -> list[str]:
    table, statements = model._meta.db_table, []
    for verb, condition in guards(model, vendor).items():
        name = f"{PREFIX}{table}_{verb}"
        if vendor == "sqlite":
            statements.append(
                f'CREATE TRIGGER "{name}" BEFORE {verb.upper()} ON "{table}" WHEN {condition} '
                f"BEGIN SELECT RAISE(ABORT, '{_message(model, verb)}'); END"
            )
            continue
        # PostgreSQL forbids subqueries in WHEN, so the condition moves into the function.
        row = "NEW" if verb == "update" else "OLD"
        statements += [
            f'CREATE OR REPLACE FUNCTION "{name}"() RETURNS trigger LANGUAGE plpgsql AS $keep$ BEGIN '
            f"IF {condition} THEN RAISE EXCEPTION '{_message(model, verb)}' USING ERRCODE = '23514'; END IF; "
            f"RETURN {row}; END $keep$",
            f'CREATE TRIGGER "{name}" BEFORE {verb.upper()} ON "{table}" FOR EACH ROW EXECUTE FUNCTION "{name}"()',
        ]
        if verb == "delete":
            statements += [
                f'CREATE OR REPLACE FUNCTION "{name}_all"() RETURNS trigger LANGUAGE plpgsql AS $keep$ BEGIN '
                f"RAISE EXCEPTION '{_message(model, 'truncate')}' USING ERRCODE = '23514'; END $keep$",
                f'CREATE TRIGGER "{name}_all" BEFORE TRUNCATE ON "{table}" '
                f'FOR EACH STATEMENT EXECUTE FUNCTION "{name}_all"()',
            ]
    return statements


def expected(vendor: str) -> set[str]:
    """Names of the triggers that a sound database has."""
    names = set()
    for model in declared_models():
        for verb in guards(model, vendor):
            names.add(f"{PREFIX}{model._meta.db_table}_{verb}")
            if verb == "delete" and vendor == "postgresql":
                names.add(f"{PREFIX}{model._meta.db_table}_delete_all")
    return names


def installed(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Names of the ledger's triggers that the database really has, with the table each stands on.

    A trigger switched off on PostgreSQL (``DISABLE TRIGGER``) does not count as installed.
    """
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, tbl_name FROM sqlite_master WHERE type='trigger' AND name LIKE 'keep_%'")
        else:
            cursor.execute(
                "SELECT t.tgname, c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
                "WHERE t.tgname LIKE 'keep_%' AND NOT t.tgisinternal AND t.tgenabled IN ('O', 'A') "
                "AND c.relnamespace = current_schema()::regnamespace"
            )
        return dict(cursor.fetchall())


def remove(connection: BaseDatabaseWrapper) -> None:
    """Drop every trigger of the ledger (before a flush in tests, or to reinstall)."""
    with connection.cursor() as cursor:
        for name, table in installed(connection).items():
            suffix = "" if connection.vendor == "sqlite" else f' ON "{table}"'
            cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{suffix}')


def install(connection: BaseDatabaseWrapper) -> None:
    """Put every trigger in place, anew."""
    remove(connection)
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for model in declared_models():
            if model._meta.db_table in tables:
                for statement in _install_sql(model, connection.vendor):
                    cursor.execute(statement)


def missing(connection: BaseDatabaseWrapper) -> set[str]:
    """Triggers that should be there and are not."""
    return expected(connection.vendor) - set(installed(connection))


def install_after_migrate(*, using: str = DEFAULT_DB_ALIAS, plan: Any = None, **_: Any) -> None:
    """Receiver of post_migrate."""
    install(connections[using])


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take the triggers away for the length of a block; only tests flush tables."""
    remove(connection)
    try:
        yield
    finally:
        install(connection)


def check_installed(
    app_configs: Any = None, *, databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """System check: a migrated database without its triggers is an error."""
    problems: list[CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        if "checkoffs_auditentry" not in connection.introspection.table_names():
            continue  # not migrated yet
        problems += [
            Error(f"The trigger {name} is missing.", hint="Run manage.py migrate.", id="ledger.E001")
            for name in sorted(missing(connection))
        ]
    return problems


def refuse_to_start_without_them() -> None:
    """Called by wsgi.py: a server must not run on a ledger that anyone could rewrite."""
    gone = missing(connections[DEFAULT_DB_ALIAS])
    connections[DEFAULT_DB_ALIAS].close()
    if gone:
        raise ImproperlyConfigured(
            f"{len(gone)} database triggers are missing ({', '.join(sorted(gone)[:3])} …): run manage.py migrate."
        )
