"""Runs the production server and the task worker side by side until one of them ends or Ctrl-C."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser


class Command(BaseCommand):
    """``manage.py serve``: granian on the address of ORIGIN, and one worker for background tasks."""

    help = "Start the production server and the task worker."

    def add_arguments(self, parser: CommandParser) -> None:
        """Certificate and key are needed for an https ORIGIN that no proxy serves."""
        parser.add_argument("--certificate", default=os.environ.get("STEPWITNESS_CERTIFICATE", ""))
        parser.add_argument("--key", default=os.environ.get("STEPWITNESS_KEY", ""))
        parser.add_argument("--workers", type=int, default=2)

    def handle(self, *args: Any, **options: Any) -> None:
        """Start both; when either ends, stop the other and leave."""
        server = self._server(options)
        call_command("reap_tasks", no_worker_runs=True, stdout=self.stdout)  # what a killed worker left undone
        worker = [sys.executable, "manage.py", "db_worker"]
        children = [subprocess.Popen(command, cwd=settings.BASE_DIR) for command in (server, worker)]  # noqa: S603
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
        self.stdout.write(f"Stepwitness is at {settings.ORIGIN} (Ctrl-C stops it).")
        self.stdout.flush()
        try:
            while all(child.poll() is None for child in children):
                time.sleep(0.5)
        except KeyboardInterrupt:
            pass
        finally:
            _stop(children)
        if any(child.returncode not in (0, -signal.SIGTERM, -signal.SIGINT) for child in children):
            raise CommandError("The server or the worker ended by itself; the lines above say why.")

    def _server(self, options: dict[str, Any]) -> list[str]:
        origin = urlsplit(settings.ORIGIN)
        port = origin.port or (443 if settings.SECURE else 80)
        host = "0.0.0.0" if settings.SECURE else "127.0.0.1"  # noqa: S104  (tablets in the lab must reach it)
        # Eight blocking threads: four slow downloads must leave threads for taps.
        command = [str(Path(sys.executable).with_name("granian")), "--interface", "wsgi", "--host", host]
        command += ["--port", str(port), "--workers", str(options["workers"]), "--blocking-threads", "8"]
        command += ["--no-ws", "--log-level", "warning", "checkoffs.wsgi:application"]
        if settings.SECURE and options["certificate"]:
            command += ["--ssl-certificate", options["certificate"], "--ssl-keyfile", options["key"]]
        elif settings.SECURE and settings.SECURE_PROXY_SSL_HEADER is None:
            raise CommandError(
                "ORIGIN is https: give --certificate and --key (PKCS#8), or set STEPWITNESS_BEHIND_PROXY=1."
            )
        return command


def _stop(children: list[subprocess.Popen[bytes]]) -> None:
    for child in children:
        if child.poll() is None:
            child.terminate()
    for child in children:
        try:
            child.wait(timeout=10)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
