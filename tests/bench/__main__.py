"""``python -m tests.bench``: every benchmark of the project in one run, on a database and folder of its own."""

from __future__ import annotations

import os
import platform
import tempfile


def main() -> None:
    """Make an empty installation in a temporary folder, measure, print, remove it."""
    with tempfile.TemporaryDirectory(prefix="stepwitness-bench-") as folder:
        os.environ["STEPWITNESS_DATA"] = folder
        os.environ.pop("DATABASE_URL", None)
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "checkoffs.settings")
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        from tests.bench import calculating, folding, records, syncing

        print(f"Python {platform.python_version()}, {os.cpu_count()} cores; ratio, then medians")
        for part in (calculating, folding, syncing, records):
            for pair in part.run():
                print(pair.line(), flush=True)


if __name__ == "__main__":
    main()
