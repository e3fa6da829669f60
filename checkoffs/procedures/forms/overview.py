"""Forms around the list of procedures: the filter, and bringing a list in."""

from __future__ import annotations

from typing import Any

from django import forms

from checkoffs.people.models import Program
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.content_shape import LONGEST_TITLE
from checkoffs.procedures.reading_file import LARGEST_BYTES, NotReadableError, text_of


class ProcedureFilter(forms.Form):
    """Which procedures to show."""

    text = forms.CharField(label="Title contains", required=False, max_length=80)
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[("in_use", "in use"), ("draft", "with a draft"), ("retired", "out of use"), ("all", "all")],
    )


class BringInForm(forms.Form):
    """A list as people have it: pasted, or as a text file."""

    program = forms.ModelChoiceField(queryset=Program.objects.none(), empty_label=None)
    title = forms.CharField(
        max_length=LONGEST_TITLE, required=False, help_text="Left empty, it is taken from the list."
    )
    text = forms.CharField(
        label="The list",
        required=False,
        max_length=LARGEST_BYTES,
        widget=forms.Textarea(attrs={"rows": 16, "class": "plain", "spellcheck": "false"}),
        help_text="Paste it as it is: numbers or letters, headings, bullets, wrapped lines, * or (critical).",
    )
    file = forms.FileField(
        label="Or a text file",
        required=False,
        help_text="Plain text or Markdown, up to 1 MB.",
        widget=forms.ClearableFileInput(attrs={"accept": ".txt,.md,text/plain,text/markdown"}),
    )

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        programs = access.programs(Act.WRITE_PROCEDURES)
        self.fields["program"].queryset = programs  # type: ignore[attr-defined]
        self.fields["program"].initial = programs.first()
        if len(programs) == 1:
            self.fields["program"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        """Take the text of the file where one was chosen; ``empty`` asks for a list without any line."""
        data = super().clean() or {}
        file = data.get("file")
        if file is not None:
            try:
                data["text"] = text_of(file.read(LARGEST_BYTES + 1))
            except NotReadableError as error:
                self.add_error("file", error.message)
        if self.data.get("do") == "empty":
            if not data.get("title"):
                self.add_error("title", "Give the procedure a title.")
        elif not data.get("text", "").strip() and not self.errors:
            self.add_error("text", "Paste a list, choose a file, or start with an empty list.")
        return data
