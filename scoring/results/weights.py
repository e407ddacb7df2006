"""How much a line of the checklist weighs, and what was said to each.

What blocks changes who is first, or leaves somebody out: it is released only for a reason, typed once. What is odd has
to be looked at, and is ticked. What is only curious is told, and asks for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from scoring.results.checklist import Item
from scoring.results.forms import AcceptForm

Weight = Literal["blocks", "odd", "curious"]

ODD = {
    "cards_and_never_came",
    "cuts_of_nothing",
    "key_beyond_limit",
    "officials_missing",
    "rank_shared",
    "rank_shared_by_teams",
    "reasons_left_as_given",
    "reasons_odd",
    "scan_not_ended",
    "whole_team_alike",
    "without_any_card",
}
CURIOUS = {"members_alike", "reasons_standardised", "sample_read"}

SAID: dict[Weight, tuple[str, str]] = {
    "blocks": (
        gettext_noop("▲ Blocks the release"),
        gettext_noop(
            "Mend it. Where it cannot be mended, type why the results go out all the same; say it without any name."
        ),
    ),
    "odd": (gettext_noop("◐ Odd"), gettext_noop("Nothing forbids it. Look at each, and tick what you have looked at.")),
    "curious": (gettext_noop("Only curious"), gettext_noop("Told, and nothing to do.")),
}


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the checklist with what was typed or ticked beside it; `left` marks one that was left out."""

    item: Item
    reason: str
    ticked: bool
    left: bool


@dataclass(frozen=True, slots=True)
class Weighed:
    """The lines of one weight."""

    weight: Weight
    title: str
    help: str
    lines: list[Line]


def weight_of(item: Item) -> Weight:
    """Whatever nobody called odd or curious blocks."""
    code = item.line.code
    return "odd" if code in ODD else "curious" if code in CURIOUS else "blocks"


def lacking(items: Iterable[Item], accepted: Mapping[str, str]) -> list[Item]:
    """The lines that keep the results back: those that block without a reason, and what is odd and was not ticked."""
    return [
        item
        for item in items
        if (weight := weight_of(item)) != "curious"
        and not (accepted.get(item.key, "").strip() if weight == "blocks" else item.key in accepted)
    ]


def weighed(items: Iterable[Item], form: AcceptForm, earlier: Mapping[str, str]) -> list[Weighed]:
    """The lines by weight, the heaviest first. `earlier` holds the reasons of a release that was withdrawn since."""
    items = list(items)
    left = {item.key for item in lacking(items, form.accepted)} if form.errors else set()

    def line(item: Item) -> Line:
        reason = form.accepted.get(item.key, "") if form.is_bound else earlier.get(item.key, "")
        return Line(item, reason, item.key in form.accepted, item.key in left)

    groups = (
        Weighed(weight, _(title), _(help_), [line(item) for item in items if weight_of(item) == weight])
        for weight, (title, help_) in SAID.items()
    )
    return [group for group in groups if group.lines]
