"""Static files as a server hands them out: own scripts and styles without comments and spaces, digests in all names.

No bundling: each module stays a file of its own, and modules import each other by their hashed names, so browsers
may keep every file for ever. The sources in ``static/`` are what people read and what tests run.
"""

from __future__ import annotations

from typing import Any

import minify
from django.core.files.base import ContentFile, File
from whitenoise.storage import CompressedManifestStaticFilesStorage

MEDIA_TYPES = {".js": "application/javascript", ".css": "text/css"}
OWN = ("js/", "css/")


def slim(name: str, text: str) -> str:
    """An own script or style without what only people need; other files as they are."""
    ending = name[name.rfind(".") :]
    if not name.startswith(OWN) or ending not in MEDIA_TYPES:
        return text
    made: str = minify.string(MEDIA_TYPES[ending], text)
    return made


class HashedModules(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Hashed names, also inside import statements of modules; compressed once, at set-up."""

    support_js_module_import_aggregation = True
    manifest_strict = True
    max_post_process_passes = 20  # one pass for each level of imports

    def _save(self, name: str, content: File[Any]) -> str:
        # Files under a hashed name are made from the sources again, so both are slimmed where they are saved.
        if name.startswith(OWN) and name.endswith(tuple(MEDIA_TYPES)):
            content.seek(0)
            content = ContentFile(slim(name, content.read().decode()).encode())
        saved: str = super()._save(name, content)
        return saved
