"""Rows of the reports room: cohort A, one procedure tried in it, one export that is ready."""

from typing import Any

from checkoffs.reports.models import Export
from tests.attempts.make import small_version
from tests.permission_table.rows import Row, for_
from tests.world import World

READERS = ("coordinator", "instructor", "second_instructor")


def _cohort(world: World) -> dict[str, Any]:
    return {"cohort": world.cohort.pk}


def _procedure(world: World) -> dict[str, Any]:
    return _cohort(world) | {"procedure": small_version(world).procedure_id}


def _export(world: World) -> dict[str, Any]:
    if "export" not in world.things:
        world.things["export"] = Export.objects.create(
            kind="people_csv", cohort=world.cohort, asked_by=world.coordinator, state="ready", data=b"a",
            filename="a.csv", content_type="text/csv",
        )  # fmt: skip
    return {"export": world.things["export"].pk}


def _seen(name: str, args: Any) -> Row:
    return Row(
        name,
        get=for_(200, *READERS) | for_(404, "outsider"),
        post=for_(405, *READERS, "outsider"),
        args=args,
    )


EXPORTER = for_(200, "coordinator")
ROWS = [
    Row("reports:cohort_list", get=for_(200, *READERS, "outsider"), post=for_(405, *READERS, "outsider")),
    _seen("reports:cohort", _cohort),
    _seen("reports:procedure", _procedure),
    Row(
        "reports:exports",
        get=EXPORTER,
        post=for_(302, "coordinator"),
        args=_cohort,
        data=lambda world: {"kind": "people_csv"},
    ),
    Row("reports:export_state", get=EXPORTER, post=for_(405, "coordinator"), args=_export),
    Row("reports:export_file", get=EXPORTER, post=for_(405, "coordinator"), args=_export),
]
