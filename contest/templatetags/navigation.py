"""The pages of a contest that whoever asks may use."""

from dataclasses import dataclass

from django import template
from django.urls import NoReverseMatch, resolve, reverse

from contest.access import may_use
from contest.helpers.duties import duty_name

register = template.Library()
register.filter("duty_name", duty_name)

# In the order of a contest's day.
SECTIONS = (
    ("contest", "Programme"),
    ("setup", "Set-up"),
    ("entries", "Entries"),
    ("check_in", "Check-in"),
    ("groups", "Groups"),
    ("helpers", "Helpers"),
    ("keys", "Keys"),
    ("desk", "Cards"),
    ("reasons", "Reasons"),
    ("reasons-rooms", "Rooms"),
    ("scores", "Scores"),
    ("progress", "Progress"),
    ("doubts", "Doubts"),
    ("standings", "Standings"),
    ("results", "Results"),
    ("announcer", "Awards"),
    ("board", "Board"),
    ("prints", "Prints"),
)

# What is open to everybody is listed for whoever uses the page that it goes with.
BESIDE = {"board": "announcer"}


@dataclass
class Section:
    address: str
    label: str
    current: str = ""  # as `aria-current` has it: "page" on the page itself, "true" on one below it


@register.simple_tag(takes_context=True)
def sections(context) -> list[Section]:
    """What the navigation of a contest shows: only pages that open to whoever asks."""
    request, contest = context["request"], context["contest"]
    shown = []
    for name, label in SECTIONS:
        try:
            address = reverse(name, args=[contest.pk])
        except NoReverseMatch:
            continue
        leads_to = resolve(reverse(BESIDE.get(name, name), args=[contest.pk]))
        if may_use(request, leads_to.func, leads_to.kwargs):
            shown.append(Section(address, label))
    _mark_current(shown, request.path, reverse("contest", args=[contest.pk]))
    return shown


def _mark_current(shown: list[Section], path: str, start: str) -> None:
    around = [section for section in shown if path.startswith(section.address)]
    nearest = max(around, key=lambda section: len(section.address), default=None)
    if nearest and nearest.address == path:
        nearest.current = "page"
    elif nearest and nearest.address != start:  # every page of a contest lies below its first
        nearest.current = "true"
