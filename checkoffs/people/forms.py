"""Forms of the people room; each offers only what the person filling it in may give."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib.auth.forms import SetPasswordForm
from django.utils import timezone

from checkoffs.people.inputs import DateInput
from checkoffs.people.models import Cohort, Program, Role, User
from checkoffs.people.permissions import Access, Act
from checkoffs.people.queries import SORTS, people_seen
from checkoffs.people.roster import MOST_BYTES, RosterError, decode
from checkoffs.people.trail import act_words


class PersonForm(forms.Form):
    """Who a person is. Never a password."""

    full_name = forms.CharField(max_length=200, help_text="As it is to stand on a record.")
    preferred_name = forms.CharField(label="Name used in the lab", max_length=80, required=False)
    credentials = forms.CharField(label="Letters after the name", max_length=40, required=False)
    number = forms.CharField(label="Student or staff number", max_length=40, required=False)
    email = forms.EmailField(label="E-mail", required=False)
    username = forms.CharField(
        label="User name",
        max_length=150,
        required=False,
        help_text="Left empty, it is made from the address.",
    )

    def clean_email(self) -> str:
        """Addresses are kept in small letters, so that one address is one person."""
        return str(self.cleaned_data["email"]).lower()


class EditPersonForm(PersonForm):
    """Details of someone already entered; the user name may not be emptied."""

    username = forms.CharField(label="User name", max_length=150)


class MembershipForm(forms.Form):
    """A role, where it holds, and for how long."""

    role = forms.ChoiceField()
    place = forms.ChoiceField(label="Cohort")
    starts = forms.DateField(label="First day", widget=DateInput())
    ends = forms.DateField(label="Last day", widget=DateInput(), required=False, help_text="Empty: no end.")

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.access = access
        whole = list(access.programs(Act.MANAGE_PEOPLE))
        cohorts = list(access.cohorts(Act.ENROL))
        roles = Role.choices if whole else [(Role.STUDENT.value, Role.STUDENT.label)]
        self.fields["role"].choices = [(value, str(label).capitalize()) for value, label in reversed(roles)]  # type: ignore[attr-defined]
        several = len({c.program_id for c in cohorts} | {p.pk for p in whole}) > 1
        self.places: dict[str, tuple[Program, Cohort | None]] = {f"c{c.pk}": (c.program, c) for c in cohorts}
        self.places |= {f"p{p.pk}": (p, None) for p in whole}
        self.fields["place"].choices = [("", "Choose")] + [  # type: ignore[attr-defined]
            (key, _place_words(program, cohort, several)) for key, (program, cohort) in self.places.items()
        ]
        self.fields["starts"].initial = timezone.localdate()

    def clean(self) -> dict[str, Any]:
        """Turn the place into program and cohort; refuse what this person may not give."""
        data = super().clean() or {}
        program, cohort = self.places.get(data.get("place", ""), (None, None))
        data["program"], data["cohort"] = program, cohort
        role = data.get("role")
        if program is None or role is None:
            return data
        if role == Role.STUDENT and cohort is None:
            self.add_error("place", "A student needs a cohort.")
        if role != Role.STUDENT and not self.access.may(Act.MANAGE_PEOPLE, program=program):
            self.add_error("role", "Only an administrator of the program gives this role.")
        if data.get("ends") and data.get("starts") and data["ends"] < data["starts"]:
            self.add_error("ends", "The last day lies before the first.")
        return data

    def membership(self) -> dict[str, Any]:
        """Arguments of the action."""
        return {name: self.cleaned_data[name] for name in ("program", "cohort", "role", "starts", "ends")}


def _place_words(program: Program, cohort: Cohort | None, several: bool) -> str:
    name = cohort.name if cohort else "The whole program"
    return f"{name} · {program.name}" if several else name


class AddPersonForm(PersonForm, MembershipForm):
    """A new person with the first role."""

    field_order = ["full_name", "preferred_name", "email", "number", "credentials", "username", "role", "place"]

    def details(self) -> dict[str, Any]:
        """Arguments of the action that describe the person."""
        return {name: self.cleaned_data[name] for name in PersonForm.base_fields}


class EndMembershipForm(forms.Form):
    """The last day of a role."""

    ends = forms.DateField(label="Last day", widget=DateInput(), initial=timezone.localdate)


class ExtraTimeForm(forms.Form):
    """The effect of an accommodation; there is no field for its reason, on purpose."""

    time_factor = forms.DecimalField(
        label="Factor on time limits",
        min_value=Decimal(1),
        max_value=Decimal(4),
        max_digits=3,
        decimal_places=2,
        help_text="1 is no extra time, 1.5 half as much again. Only the effect is kept, never the reason.",
    )


class CohortForm(forms.Form):
    """A cohort's name and dates; the program only where several are administered."""

    program = forms.ModelChoiceField(Program.objects.none(), empty_label=None)
    name = forms.CharField(max_length=80)
    starts = forms.DateField(label="First day", widget=DateInput())
    ends = forms.DateField(label="Last day", widget=DateInput(), required=False)

    def __init__(self, *args: Any, programs: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["program"]
        field.queryset = programs  # type: ignore[attr-defined]
        if programs.count() == 1:
            field.initial, field.widget = programs.first(), forms.HiddenInput()


class PeopleFilter(forms.Form):
    """The list's filters; they live in the address."""

    text = forms.CharField(label="Name, number or address", required=False)
    role = forms.ChoiceField(choices=[("", "Every role"), *Role.choices], required=False)
    cohort = forms.ModelChoiceField(Cohort.objects.none(), required=False, empty_label="Every cohort")
    state = forms.ChoiceField(
        choices=[
            ("active", "Open accounts"),
            ("waiting", "Never signed in"),
            ("off", "Closed accounts"),
            ("all", "All accounts"),
        ],
        required=False,
        label="Account",
    )
    sort = forms.ChoiceField(choices=[(key, key) for key in SORTS], required=False, widget=forms.HiddenInput())

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cohort"].queryset = access.cohorts(Act.ENROL)  # type: ignore[attr-defined]


class RosterForm(forms.Form):
    """A roster as a file or as pasted text; what was typed stays."""

    program = forms.ModelChoiceField(Program.objects.none(), empty_label=None)
    file = forms.FileField(label="CSV file", required=False)
    text = forms.CharField(
        label="or the same list, pasted",
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        widget=forms.Textarea(attrs={"rows": 8, "class": "plain", "spellcheck": "false"}),
    )

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        programs = access.programs(Act.ENROL)
        field = self.fields["program"]
        field.queryset = programs  # type: ignore[attr-defined]
        if programs.count() == 1:
            field.initial, field.widget = programs.first(), forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        """Read the file's bytes into text; a file goes before pasted text."""
        data = super().clean() or {}
        file = data.get("file")
        if file is not None:
            if file.size > MOST_BYTES:
                raise forms.ValidationError("The file is larger than 1 MB. Split it, or remove columns.")
            try:
                data["text"] = decode(file.read())
            except RosterError as error:
                raise forms.ValidationError(error.message) from error
        elif not data.get("text", "").strip():
            raise forms.ValidationError("Choose a file or paste a list.")
        return data


class LinksForm(forms.Form):
    """For whom one-time links are made."""

    people = forms.ModelMultipleChoiceField(User.objects.none())

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["people"].queryset = people_seen(access).filter(is_active=True)  # type: ignore[attr-defined]


class AuditFilter(forms.Form):
    """The trail's filters."""

    act = forms.ChoiceField(required=False, label="What was done")
    person = forms.CharField(required=False, label="By or about (user name)")
    since = forms.DateField(required=False, label="From", widget=DateInput())
    until = forms.DateField(required=False, label="To", widget=DateInput())

    def __init__(self, *args: Any, acts: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["act"].choices = [("", "Everything"), *((act, act_words(act)) for act in acts)]  # type: ignore[attr-defined]


class FirstPasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """The password a person chooses at the first sign-in."""
