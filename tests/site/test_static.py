"""Static files as they are served: modules import each other by hashed names, and slimming breaks no script."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import storage
from django.core.management import call_command
from django.test import override_settings

from checkoffs.site.static import slim

STATIC = settings.BASE_DIR / "static"
SCRIPTS = sorted(path for path in (STATIC / "js").rglob("*.js"))


@pytest.mark.skipif(shutil.which("node") is None, reason="node parses the scripts")
def test_slim_scripts_still_parse(tmp_path: Path) -> None:
    for script in SCRIPTS:
        (tmp_path / f"{script.parent.name}-{script.stem}.mjs").write_text(
            slim(f"js/{script.name}", script.read_text())
        )
    for made in sorted(tmp_path.iterdir()):
        done = subprocess.run(["node", "--check", str(made)], capture_output=True, text=True, check=False)
        assert done.returncode == 0, f"{made.name}: {done.stderr}"


def test_slimming_keeps_text_in_templates_and_drops_remarks() -> None:
    text = 'export const say = n => `${n ? `two  words // kept` : ""} end`; // a remark\n'
    made = slim("js/x.js", text)
    assert "two  words // kept" in made
    assert "a remark" not in made
    assert slim("vendor/x.js", text) == text


def test_collected_modules_import_hashed_names(tmp_path: Path) -> None:
    hashed = {"BACKEND": "checkoffs.site.static.HashedModules"}
    with override_settings(STATIC_ROOT=tmp_path, STORAGES=settings.STORAGES | {"staticfiles": hashed}):
        storage.staticfiles_storage._setup()
        call_command("collectstatic", interactive=False, verbosity=0)
    storage.staticfiles_storage._setup()
    mains = [path for path in (tmp_path / "js" / "sheet").glob("main.*.js") if path.name != "main.js"]
    assert len(mains) == 1
    names = re.findall(r'(?:from\s*|import\()"(\./[^"]+)"', mains[0].read_text())
    assert names
    assert all(re.fullmatch(r"\./[\w.-]+\.[0-9a-f]{12}\.js", name) for name in names), names
    assert "//" not in mains[0].read_text().replace("://", "")  # no remarks: what is served is slim
    assert (mains[0].parent / (mains[0].name + ".br")).stat().st_size < 2_500
