"""Looking through the trail: by time, person, contestant, class, key, team and words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contest.models import Contest, Team, TrailEntry, TrailName
from contest.models.outline import TEXT_LENGTH
from contest.trail.says import says
from contest.trail.subjects import found
from contest.web.form_fields import TeamField, choice_field, row_field

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

LARGEST = 999_999_999
PUNCTUATION = ".,:;“”"
"""What stands between the words of an entry, and is no part of them."""


class NumberField(forms.IntegerField):
    """A number that may be left out; what is typed instead of one stays in its field."""

    def __init__(self, label: StrOrPromise) -> None:
        widget = forms.TextInput(attrs={"inputmode": "numeric"})
        super().__init__(label=label, required=False, min_value=1, max_value=LARGEST, widget=widget)


class LookForm(forms.Form):
    """What to look for; all of it is optional, and what makes no sense is said beside its field."""

    # By key: no name stands in an address.
    person = forms.TypedChoiceField(label=_("Person"), required=False, coerce=int, empty_value=None)
    contestant = NumberField(_("Contestant"))
    judged = NumberField(_("Class"))
    key = NumberField(_("Key of class"))
    team = TeamField(Team.objects.none(), label=_("Team"), required=False, empty_label=_("any"))
    words = forms.CharField(label=_("Words"), required=False, max_length=TEXT_LENGTH)
    until = forms.DateTimeField(
        label=_("Until"),
        required=False,
        widget=forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"}),
    )

    def __init__(self, contest: Contest | None, asked: Any, organisation: int | None = None) -> None:
        super().__init__(asked, auto_id="look-%s")
        choice_field(self, "person").choices = [("", gettext("anybody")), *people_who_acted(contest, organisation)]
        if contest is None:
            for name in ("contestant", "judged", "key", "team"):
                del self.fields[name]
        else:
            teams = Team.objects.filter(division__contest=contest).select_related("division").order_by("name", "pk")
            row_field(self, "team").queryset = teams
        for field in self.fields.values():
            field.widget.attrs["autocomplete"] = "off"

    @property
    def is_narrow(self) -> bool:
        return any(value not in (None, "") for value in getattr(self, "cleaned_data", {}).values())


def people_who_acted(contest: Contest | None, organisation: int | None = None) -> list[tuple[int, str]]:
    """Whoever did anything that the trail tells of, by the key and the name of a TrailName, each name once."""
    named = TrailName.objects.filter(
        token__in=entries_of(contest, organisation).order_by().values("by"), name__isnull=False
    )
    keys: dict[str, int] = {}
    for pk, name in named.order_by("name", "pk").values_list("pk", "name"):
        keys.setdefault(name or "", pk)
    return [(pk, name) for name, pk in keys.items()]


def entries_of(contest: Contest | None, organisation: int | None = None) -> QuerySet[TrailEntry]:
    """All that is told of a contest, or of the site itself or of what in it is about an organisation, the newest first.

    A contest's own chain, and what stands of it in the site's. Entries are numbered as they are written, so their order
    is that of time and needs no sorting.
    """
    rows = TrailEntry.objects.order_by("-pk")
    if contest is None:
        rows = rows.filter(contest=None)
        return rows if organisation is None else rows.filter(about__contains=found(f"organisation:{organisation}"))
    return rows.filter(Q(contest=contest) | Q(contest=None, about__contains=found(f"contest:{contest.pk}")))


def narrowed(contest: Contest | None, rows: QuerySet[TrailEntry], wanted: dict[str, Any]) -> QuerySet[TrailEntry]:
    """The entries that fit everything that was asked for."""
    if person := wanted.get("person"):
        rows = rows.filter(by__in=_tokens(contest, person))
    for subject in _subjects(wanted):
        rows = rows.filter(about__contains=found(subject))
    if team := wanted.get("team"):
        of_members = [f"contestant:{number}" for number in team.members.values_list("number", flat=True)]
        anyone = Q()
        for subject in (f"team:{team.pk}", *of_members):
            anyone |= Q(about__contains=found(subject))
        rows = rows.filter(anyone)
    for word in filter(None, (word.strip(PUNCTUATION) for word in wanted.get("words", "").split())):
        rows = rows.filter(says(word))
    until: datetime | None = wanted.get("until")
    return rows.filter(at__lte=until) if until else rows


def _subjects(wanted: dict[str, Any]) -> Iterator[str]:
    for name, kind in (("contestant", "contestant"), ("judged", "class"), ("key", "key")):
        if number := wanted.get(name):
            yield f"{kind}:{number}"


def _tokens(contest: Contest | None, person: int) -> list[str]:
    """The tokens of a person's name; the site's chain knows names of contests too."""
    rows = TrailName.objects.filter(name__in=TrailName.objects.filter(pk=person).values("name"))
    if contest is not None:
        rows = rows.filter(contest=contest)
    return list(rows.values_list("token", flat=True))
