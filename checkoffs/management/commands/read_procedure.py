"""Prints how a pasted checklist is understood, as JSON. Saves nothing."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from checkoffs.procedures.reading import read
from checkoffs.procedures.reading_file import LARGEST_BYTES, NotReadableError, text_of


class Command(BaseCommand):
    """`manage.py read_procedure FILE`: JSON on standard output, or one plain sentence and exit status 1."""

    help = "Print the title, sections, steps and sub-points understood from a text file, as JSON. Nothing is saved."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="a text file with the checklist, in UTF-8")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        try:
            with path.open("rb") as file:
                data = file.read(LARGEST_BYTES + 1)
            reading = read(text_of(data))
        except FileNotFoundError as error:
            raise CommandError(f"There is no file {path}.") from error
        except OSError as error:
            raise CommandError(f"The file {path} cannot be opened: {error.strerror}.") from error
        except NotReadableError as error:
            raise CommandError(f"{path}: {error.message}") from error
        self.stdout.write(json.dumps(reading.as_dict(), ensure_ascii=False, indent=2))
