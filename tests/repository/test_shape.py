"""The shape of the repository: top level, door signs, mirrored tests, sizes, words that must not be there."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOP = {"README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "Makefile", "pyproject.toml"}
TOP_FOLDERS = {"checkoffs", "calculators", "templates", "static", "tests", "fixtures"}
ROOMS = (
    "scoring", "ledger", "people", "procedures", "cases", "attempts", "records", "review", "days", "reports", "site",
)  # fmt: skip


def tracked(*patterns: str) -> list[Path]:
    """Files git tracks or would track, by pattern."""
    out = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "--", *patterns],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return [ROOT / line for line in out.stdout.splitlines() if (ROOT / line).is_file()]


def own_python() -> list[Path]:
    return [p for p in tracked("checkoffs/*.py", "calculators/*.py") if "migrations" not in p.parts]


def test_top_level_keeps_its_shape() -> None:
    names = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in names if not name.startswith(".")} <= TOP | TOP_FOLDERS


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_its_door_sign(room: str) -> None:
    text = (ROOT / "checkoffs" / room / "__init__.py").read_text()
    tree = ast.parse(text)
    assert ast.get_docstring(tree), f"{room} says nothing of what lives there"


def test_public_functions_and_classes_have_docstrings() -> None:
    bare = []
    for path in own_python():
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                inner = ast.get_docstring(node)
                overloaded = any(getattr(d, "id", "") == "overload" for d in node.decorator_list)
                if not inner and not overloaded:
                    bare.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.name}")
    assert bare == []


def test_every_module_with_logic_has_its_mirror() -> None:
    """checkoffs/room/module.py ↔ tests/room/test_module.py; tables and addresses are tested through others."""
    through_others = {"__init__", "models", "urls", "views", "forms", "apps", "wsgi", "asgi", "settings", "__main__"}
    missing = []
    for path in own_python():
        if through_others & {path.stem, path.parent.name} or "management" in path.parts:
            continue
        parts = path.relative_to(ROOT).parts
        folder = parts[:-1] if parts[0] == "calculators" else parts[1:-1]
        mirror = ROOT.joinpath("tests", *folder, f"test_{path.stem.lstrip('_')}.py")
        whole = ROOT.joinpath("tests", *folder)
        named = (
            any(f"{path.stem}" in test.read_text() for test in whole.glob("test_*.py")) if whole.is_dir() else False
        )
        if not mirror.exists() and not named:
            missing.append(str(path.relative_to(ROOT)))
    assert missing == []


def test_no_inline_script_or_style_in_templates() -> None:
    pattern = re.compile(r"<script>|<style|\sstyle=\"|\son\w+=\"")
    allowed = {"templates/records/record_pdf.html"}  # paper is not served to browsers
    bad = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in tracked("templates/*.html")
        if str(path.relative_to(ROOT)) not in allowed
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if pattern.search(line)
    ]
    assert bad == []


def test_no_module_grows_past_what_one_can_read() -> None:
    long = [
        f"{path.relative_to(ROOT)}: {len(path.read_text().splitlines())}"
        for path in own_python()
        if len(path.read_text().splitlines()) > 350
    ]
    assert long == []


def test_no_leftovers_in_the_tree() -> None:
    words = re.compile(r"\b(TO" + r"DO|FIX" + r"ME|lorem ip" + r"sum|not impl" + r"emented)\b", re.IGNORECASE)
    files = tracked(
        "checkoffs/*", "calculators/*", "templates/*", "static/js/*", "static/css/*", "tests/*", "Makefile", "*.md"
    )
    bad = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in files
        if path.suffix in {".py", ".js", ".mjs", ".css", ".html", ".md", ""}
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if words.search(line)
    ]
    assert bad == []


def test_no_secret_in_the_tree() -> None:
    key = re.compile(r"-----BEGIN [A-Z ]*PRIVATE KEY|SECRET_KEY\s*=\s*[\"']")
    bad = [
        str(path.relative_to(ROOT))
        for path in tracked("*.py", "*.json", "*.toml", "*.html", "*.js", "*.md", "Makefile", ".ci/*")
        if key.search(path.read_text(errors="ignore"))
    ]
    assert bad == []
