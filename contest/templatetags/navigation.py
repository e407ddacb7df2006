"""The pages of a contest that whoever asks may use."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

from django import template
from django.http import HttpResponseBase
from django.urls import resolve, reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from contest.access import may_use
from contest.helpers.duties import beginning, duty_name, practice_page
from contest.models import Contest
from contest.scanning.rules import how_many_wait
from contest.watch.waiting import doubt_count
from contest.web.requests import Request

register = template.Library()
register.filter("duty_name", duty_name)
register.filter("beginning", beginning)
register.filter("practice_page", practice_page)

# What is gone to most, all day long, stands first and is always in sight. The rest lies in three menus, in the order
# of a contest's day, each in its place whatever page one is on: so nobody has to look for what they found before.
GROUPS = (
    (
        "",
        (
            ("contest", _("Programme")),
            ("entries", _("Entries")),
            ("progress", _("Progress")),
            ("doubts", _("Doubts")),
        ),
    ),
    (
        _("Before"),
        (
            ("setup", _("Set-up")),
            ("groups", _("Groups")),
            ("helpers", _("Helpers")),
        ),
    ),
    (
        _("Judging"),
        (
            ("check_in", _("Check-in")),
            ("keys", _("Keys")),
            ("desk", _("Cards")),
            ("scanning", _("Scanner")),
            ("reasons", _("Reasons")),
            ("reasons-rooms", _("Rooms")),
            ("scores", _("Scores")),
        ),
    ),
    (
        _("After"),
        (
            ("standings", _("Standings")),
            ("results", _("Results")),
            ("announcer", _("Awards")),
            ("board", _("Board")),
            ("prints", _("Prints")),
            ("trail", _("Trail")),
        ),
    ),
)

FEW = 5
"""So many pages stand beside each other; more are parted."""

# What is open to everybody is listed for whoever uses the page that it goes with.
BESIDE = {"board": "announcer"}

WAITING: dict[str, Callable[[Contest], int | None]] = {"doubts": doubt_count, "scanning": how_many_wait}
"""How much waits on a page; None where the contest has no use for it, and it is not listed."""


@dataclass
class Section:
    """A page that is listed. `current` is as `aria-current` has it: "page" on the page itself, "true" on one below it;
    `waiting` is how many things on it wait for somebody."""

    address: str
    label: str
    current: str = ""
    waiting: int = 0


@dataclass
class Group:
    """The pages of one part of the day, a menu; without a `title`, those that are always in sight."""

    title: str
    sections: list[Section]

    @property
    def is_current(self) -> bool:
        return any(section.current for section in self.sections)


@register.filter
def opens_to(name: str, request: Request) -> bool:
    """Whether whoever asks may use a page that is no contest's."""
    return may_use(request, resolve(reverse(name)).func, {})


@register.simple_tag(takes_context=True)
def navigation(context: dict[str, Any]) -> list[Group]:
    """What the navigation of a contest shows: only pages that open to whoever asks."""
    request, contest = context["request"], context["contest"]
    groups = [Group(title and gettext(title), _shown(request, contest, pages)) for title, pages in GROUPS]
    every = [section for group in groups for section in group.sections]
    _mark_current(every, request.path, reverse("contest", args=[contest.pk]))
    if len(every) <= FEW:
        always, *parts = groups
        return [Group("", [section for group in (*parts, always) for section in group.sections])]
    return [group for group in groups if group.sections]


def _shown(request: Request, contest: Contest, pages: Iterable[tuple[str, str]]) -> list[Section]:
    shown = []
    for name, label in pages:
        if may_use(request, _view(BESIDE.get(name, name)), {"pk": contest.pk}):
            waiting = WAITING[name](contest) if name in WAITING else 0
            if waiting is not None:
                shown.append(Section(reverse(name, args=[contest.pk]), gettext(label), waiting=waiting))
    return shown


@cache
def _view(name: str) -> Callable[..., HttpResponseBase]:
    """The view of a contest's page; finding it takes longer than all the rest of the navigation."""
    return resolve(reverse(name, args=[1])).func


def _mark_current(shown: list[Section], path: str, start: str) -> None:
    around = [section for section in shown if path.startswith(section.address)]
    nearest = max(around, key=lambda section: len(section.address), default=None)
    if nearest and nearest.address == path:
        nearest.current = "page"
    elif nearest and nearest.address != start:  # every page of a contest lies below its first
        nearest.current = "true"
