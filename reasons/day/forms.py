"""What the pages of the reasons' day send."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from contest.desk.forms import LARGEST_NUMBER, ReadingForm
from contest.models import Contest
from contest.web.form_fields import choice_field, row_field
from reasons.day.timetable import Wishes, reasons_classes
from reasons.models import ReasonsDay, Room
from reasons.planning.clock import clock_time, minute_of_day
from scoring.core.record import MOST_REASONS

MOST_MINUTES = 180


class MinuteField(forms.CharField):
    """A time of day as minutes after midnight; None where it is empty."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=5, **kwargs)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return minute_of_day(text)
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from None


def _minutes(least: int, label: Any) -> forms.IntegerField:
    return forms.IntegerField(min_value=least, max_value=MOST_MINUTES, label=label)


class DayForm(forms.ModelForm):  # type: ignore[type-arg]  # it takes none when it runs
    minutes_per_set = _minutes(1, gettext_lazy("Minutes a set"))
    minutes_to_prepare = _minutes(0, gettext_lazy("Minutes to prepare before the first set"))
    minutes_between_sets = _minutes(0, gettext_lazy("Minutes between a contestant’s sets, at least"))
    breaks = forms.CharField(
        label=gettext_lazy("Breaks"), required=False, help_text=gettext_lazy("such as 12:00-13:00, 15:30-15:45")
    )
    components = forms.CharField(
        label=gettext_lazy("Components"),
        required=False,
        help_text=gettext_lazy("such as accuracy 20, delivery 15, terms 15: they add up to the score"),
    )

    class Meta:
        model = ReasonsDay
        fields = [
            "starts_at",
            "minutes_to_prepare",
            "minutes_per_set",
            "minutes_between_sets",
            "breaks",
            "components",
        ]
        labels = {"starts_at": gettext_lazy("Begins at")}
        widgets = {
            "starts_at": forms.TimeInput(
                format="%H:%M", attrs={"inputmode": "numeric", "placeholder": "09:00", "size": 5}
            ),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["breaks"] = ", ".join("-".join(map(clock_time, pair)) for pair in self.instance.breaks)
        self.initial["components"] = ", ".join(f"{name} {most}" for name, most in self.instance.components)

    def clean_breaks(self) -> list[list[int]]:
        breaks = []
        for text in _parts(self.cleaned_data["breaks"]):
            begin, _dash, end = text.replace("–", "-").partition("-")
            try:
                pair = [minute_of_day(begin), minute_of_day(end)]
            except ValueError:
                raise forms.ValidationError(
                    _("“{text}” is no break; write it as 12:00-13:00").format(text=text)
                ) from None
            if pair[1] <= pair[0]:
                raise forms.ValidationError(_("the break {text} ends before it begins").format(text=text))
            breaks.append(pair)
        return sorted(breaks)

    def clean_components(self) -> list[list[Any]]:
        components: list[list[Any]] = []
        for text in _parts(self.cleaned_data["components"]):
            match = re.fullmatch(r"(.+?)\s+(\d{1,2})", text)
            if not match:
                problem = _("“{text}” needs a name and the most points it can give, such as terms 15")
                raise forms.ValidationError(problem.format(text=text))
            components.append([match[1], int(match[2])])
        if components and sum(most for _name, most in components) != 50:
            total = sum(most for _name, most in components)
            text = ngettext(
                "together they give {count} point; a set is given 50 at most",
                "together they give {count} points; a set is given 50 at most",
                total,
            )
            raise forms.ValidationError(text.format(count=total))
        if len({name.casefold() for name, _most in components}) < len(components):
            raise forms.ValidationError(_("two of them have the same name"))
        return components

    def _post_clean(self) -> None:
        """The function that owns the change writes the row, not this form."""


def _parts(text: str) -> list[str]:
    return [part.strip() for part in re.split(r"[,;\n]", text) if part.strip()]


class RowsField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]  # it takes none when it runs
    """Some of a contest's rows. A key longer than the database's own would fail where they are looked up together."""

    def clean(self, value: Any) -> Any:
        if too_long := [key for key in value or () if len(str(key)) > 18]:
            raise forms.ValidationError(self.error_messages["invalid_choice"], params={"value": too_long[0][:30]})
        return super().clean(value)


class RoomForm(forms.Form):
    name = forms.CharField(max_length=200, label=gettext_lazy("Room"))
    officials = RowsField(None, required=False, widget=forms.CheckboxSelectMultiple)
    classes = RowsField(None, required=False, widget=forms.CheckboxSelectMultiple)
    shows_key = forms.BooleanField(
        required=False, label=gettext_lazy("Its officials may see the official placing, cuts and notes")
    )

    is_quiet = forms.BooleanField(
        required=False, label=gettext_lazy("Quiet: for whoever needs a separate room, before anybody else")
    )

    def __init__(
        self, *args: Any, contest: Contest, choices: dict[str, list[tuple[int, str]]] | None = None, **kwargs: Any
    ) -> None:
        """`choices` are those of `choices_of`, for whoever shows many of these forms."""
        super().__init__(*args, **kwargs)
        row_field(self, "officials").queryset = contest.reasons_officials.all()
        row_field(self, "classes").queryset = reasons_classes(contest)
        for name, offered in (choices or {}).items():
            choice_field(self, name).choices = offered

    @staticmethod
    def choices_of(contest: Contest) -> dict[str, list[tuple[int, str]]]:
        """The officials and classes of a contest, looked up once."""
        return {
            "officials": [(official.pk, str(official)) for official in contest.reasons_officials.all()],
            "classes": [(judged.pk, str(judged)) for judged in reasons_classes(contest)],
        }

    def clean_name(self) -> str:
        """Without the word that stands before it on every page: "Room 1" is called 1."""
        return re.sub(r"^room\s+(?=\S)", "", self.cleaned_data["name"].strip(), flags=re.IGNORECASE)


class PlanForm(forms.Form):
    """The wishes for one planning: a room's hours are fields of their own, `from_ROOM` and `until_ROOM`."""

    late = forms.CharField(
        required=False,
        label=gettext_lazy("Who comes later"),
        help_text=gettext_lazy("number and time, such as 104 10:30, 212 11:00"),
    )
    anew = forms.BooleanField(
        required=False, label=gettext_lazy("Plan from nothing: everybody may move but who waits at a door")
    )

    def __init__(
        self, *args: Any, rooms: Sequence[Room], numbers: Collection[int], wishes: Wishes, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rooms, self.numbers = rooms, numbers
        late = (f"{number} {clock_time(minute)}" for number, minute in wishes.late.items() if number in numbers)
        self.initial["late"] = ", ".join(late)
        for room in rooms:
            opens, closes = _("Room {room} hears from"), _("Room {room} closes at")
            for bound, label, hours in [("from", opens, wishes.opening), ("until", closes, wishes.closing)]:
                widget = forms.TextInput({"aria-label": label.format(room=room)})
                self.fields[f"{bound}_{room.pk}"] = MinuteField(widget=widget)
                self.initial[f"{bound}_{room.pk}"] = clock_time(hours[room.pk]) if room.pk in hours else ""
        self.hours_are_set = bool(wishes.opening or wishes.closing)

    def clean_late(self) -> dict[int, int]:
        late = {}
        for text in _parts(self.cleaned_data["late"]):
            number, _space, time = text.partition(" ")
            try:
                late[int(number)] = minute_of_day(time)
            except ValueError:
                problem = _("“{text}” needs a number and a time, such as 104 10:30").format(text=text)
                raise forms.ValidationError(problem) from None
        unknown = [str(number) for number in late if number not in self.numbers]
        if unknown:
            problem = _("Nobody who gives reasons has the number {numbers}.").format(numbers=", ".join(unknown))
            raise forms.ValidationError(problem)
        return late

    def wishes(self) -> Wishes:
        return Wishes(self.cleaned_data["anew"], self.hours("from"), self.hours("until"), self.cleaned_data["late"])

    def hours(self, bound: str) -> dict[int, int]:
        minutes = {room.pk: self.cleaned_data[f"{bound}_{room.pk}"] for room in self.rooms}
        return {room: minute for room, minute in minutes.items() if minute is not None}

    def room_fields(self) -> list[tuple[Room, forms.BoundField, forms.BoundField]]:
        """Each room with its two fields, for the template."""
        return [(room, self[f"from_{room.pk}"], self[f"until_{room.pk}"]) for room in self.rooms]


class EventForm(ReadingForm):
    """What happened in a room; `at` is the time in milliseconds since 1970."""

    WHAT = ("begin", "stop", "absent", "back", "write", "score", "clear")

    what = forms.ChoiceField(choices=[(name, name) for name in WHAT])
    class_number = forms.IntegerField(min_value=1, max_value=LARGEST_NUMBER)
    number = forms.IntegerField(min_value=1, max_value=LARGEST_NUMBER)
    at = forms.IntegerField(min_value=0, max_value=2**53)
    points = forms.CharField(required=False, max_length=6)
    note = forms.CharField(required=False, max_length=5000)
    marks = forms.JSONField(required=False)

    def clean_marks(self) -> dict[str, Any]:
        marks = self.cleaned_data["marks"] or {}
        if not isinstance(marks, dict) or not all(map(_is_mark, marks.values())):
            problem = _("each mark is 0 to {most} points, whole or half").format(most=MOST_REASONS)
            raise forms.ValidationError(problem)
        return marks


def _is_mark(points: Any) -> bool:
    """Whole or half points from 0 to 50; JSON may bring anything, 1e999 too."""
    is_number = isinstance(points, int | float) and math.isfinite(points)
    return is_number and 0 <= points <= MOST_REASONS and points * 2 == int(points * 2)


class FindForm(forms.Form):
    """Somebody's number, to look them up by."""

    number = forms.IntegerField(
        label=gettext_lazy("Number"),
        required=False,
        min_value=1,
        max_value=LARGEST_NUMBER,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 6, "autocomplete": "off"}),
    )

    @property
    def wanted(self) -> int | None:
        """The number that was asked for, None where none was or it cannot be read."""
        return self.cleaned_data.get("number") if self.is_valid() else None
