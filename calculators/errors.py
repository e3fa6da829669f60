"""What can be wrong with a request, said with the field it stands in."""


class CalculationError(ValueError):
    """A request that cannot be computed.

    `code` is one of CODES, `field` the name of the input ("" when no single input is at fault), `message` one
    sentence that says what was read and what would be accepted.
    """

    CODES = frozenset(
        {
            "conflict",
            "missing",
            "not_a_number",
            "not_json",
            "out_of_range",
            "unknown_field",
            "unknown_find",
            "unknown_unit",
            "unknown_value",
            "wrong_dimension",
        }
    )

    def __init__(self, code: str, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}" if field else message)
        self.code = code
        self.field = field
        self.message = message

    def as_dict(self) -> dict[str, str]:
        return {"code": self.code, "field": self.field, "message": self.message}


def quoted(text: object, longest: int = 40) -> str:
    """`text` as it is shown inside a message: quoted, on one line, never longer than a message can bear."""
    shown = str(text)
    if len(shown) > longest:
        shown = shown[:longest] + "…"
    return "“" + "".join(c if c.isprintable() else "?" for c in shown) + "”"
