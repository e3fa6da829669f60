"""Form inputs that more than one room uses: the browser's own date and time fields."""

from __future__ import annotations

from django import forms


class DateInput(forms.DateInput):
    """The browser's own date field."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class TimeInput(forms.TimeInput):
    """The browser's own time field, without seconds."""

    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")
