"""From the bytes of a chosen file to the text that `reading.read` takes; says plainly why a file cannot be read."""

from __future__ import annotations

import codecs

LARGEST_BYTES = 1_000_000
_OTHER_KINDS = (
    (b"PK\x03\x04", "a zip or office document"),
    (b"%PDF", "a PDF"),
    (b"\xd0\xcf\x11\xe0", "an old office file"),
)
_WIDE = ((codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


class NotReadableError(ValueError):
    """A file that is no readable text. `code`: too_large, not_text, encoding; `message` names what is accepted."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


def text_of(data: bytes) -> str:
    """Decode plain text in UTF-8, or UTF-16 with its mark at the start. Raises NotReadableError for anything else."""
    if len(data) > LARGEST_BYTES:
        raise NotReadableError(
            "too_large", f"The file is larger than {LARGEST_BYTES} bytes (1 MB), the most that is read."
        )
    for start, kind in _OTHER_KINDS:
        if data.startswith(start):
            raise NotReadableError(
                "not_text", f"The file is {kind}, not plain text. Save the list as text, or paste it."
            )
    encoding = next((name for mark, name in _WIDE if data.startswith(mark)), "utf-8")
    if encoding == "utf-8" and b"\0" in data:
        raise NotReadableError(
            "not_text", "The file holds binary data, not plain text. Save the list as text, or paste it."
        )
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        place = f"byte {error.start + 1}"
        raise NotReadableError(
            "encoding", f"The text is not in UTF-8 ({place} does not fit). Save it as UTF-8."
        ) from error
