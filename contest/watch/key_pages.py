"""What the pages of keys show. A key that one person typed is hidden from everybody else until they have typed it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.committee.states import CommitteeState, agreed_by, states
from contest.keys import DISPUTED, TYPED_ONCE
from contest.models import Contest, JudgingClass, Key, KeyDispute, PartKey
from contest.overview.pages import KeySign, key_signs
from contest.records.fields import shared_values
from scoring.core import record
from scoring.core.explain import key_in_words
from scoring.core.placing import Limit, limits
from scoring.core.points import figure
from scoring.core.tally import grid_of

WAITING = gettext_noop("waiting")
CONFIRMED = gettext_noop("confirmed")
ACCEPTED = gettext_noop("one entry, accepted")

SIGNS = {WAITING: "○", TYPED_ONCE: "◐", DISPUTED: "▲", CONFIRMED: "●", ACCEPTED: "●"}


@dataclass(frozen=True, slots=True)
class KeyShown:
    """A key as it is set: its signs, and the same in words."""

    key: tuple[KeySign, ...]
    key_in_words: str


class Stated:
    """What is said of a key, of a class or a part, by how far it is."""

    __slots__ = ()
    state: str
    latest: Key | PartKey | None

    @property
    def sign(self) -> str:
        return SIGNS[self.state]

    @property
    def state_text(self) -> str:
        return _(self.state)

    @property
    def confirmed_by(self) -> str:
        """Who typed it the second time; empty while nobody has."""
        return self.latest.confirmed_by if self.latest and self.state == CONFIRMED else ""


def how_far(latest: Key | PartKey, differs: bool, who: str) -> tuple[str, bool]:
    """How far a key is, and whether `who` has still to type it without seeing it. `differs`: two entries wait."""
    if differs:
        return DISPUTED, False
    if not latest.confirmed_by:
        return TYPED_ONCE, latest.by.casefold() != who.casefold()
    return (ACCEPTED if latest.confirmed_by.casefold() == latest.by.casefold() else CONFIRMED), False


@dataclass(frozen=True, slots=True)
class KeyRow(Stated):
    """A class and how far its key is, as `who` may see it: `blind` while they have still to type it themselves.

    `committee` is that of its class, if it has one, and `agreed_by` who of it agreed on the key.
    """

    judged: JudgingClass
    state: str
    latest: Key | None
    dispute: KeyDispute | None
    blind: bool
    versions: int
    committee: CommitteeState | None = None
    agreed_by: tuple[str, ...] = ()

    @property
    def shown(self) -> KeyShown | None:
        return show_key(self.latest) if self.latest and not self.blind and not self.dispute else None

    @property
    def warnings(self) -> tuple[Limit, ...]:
        """The published limits that the key exceeds, as far as it is shown."""
        if not self.latest or not self.shown:
            return ()
        return limits(self.latest.cuts, self.judged.perfect, len(self.judged.animals))

    @property
    def wants_me(self) -> bool:
        """Whether whoever looks is to do something here."""
        return self.state in (WAITING, DISPUTED) or self.blind


@dataclass(frozen=True, slots=True)
class Preview:
    """The grid that a key makes, or of more than four animals a part of it, and the published limits it exceeds."""

    shown: KeyShown
    grid: tuple[tuple[str, str], ...]
    warnings: tuple[Limit, ...]


def key_rows(contest: Contest, who: str) -> list[KeyRow]:
    """Every class that has cards, with how far its key is, in a constant number of queries."""
    keys: dict[int, list[Key]] = {}
    for key in Key.objects.filter(judging_class__contest=contest).order_by("version"):
        keys.setdefault(key.judging_class_id, []).append(key)
    open_ones = KeyDispute.objects.filter(key__judging_class__contest=contest, settled_at=None)
    disputes = {dispute.key_id: dispute for dispute in open_ones}
    rows = [key_row(judged, keys.get(judged.pk, []), disputes, who) for judged in contest.classes.filter(places=True)]
    if not (committees := states(contest)):
        return rows
    agreed = agreed_by(contest)
    return [
        replace(
            row,
            committee=committees.get(row.judged.pk),
            agreed_by=tuple(agreed.get(row.latest.pk, ())) if row.latest and row.shown else (),
        )
        for row in rows
    ]


def key_row(judged: JudgingClass, keys: Sequence[Key], disputes: dict[int, KeyDispute], who: str) -> KeyRow:
    if not keys:
        return KeyRow(judged, WAITING, None, None, False, 0)
    latest = keys[-1]
    dispute = disputes.get(latest.pk)
    state, blind = how_far(latest, dispute is not None, who)
    return KeyRow(judged, state, latest, dispute, blind, len(keys))


def show_key(key: Key | KeyDispute) -> KeyShown:
    return signs_of(key.official, key.cuts)


def signs_of(official: str, cuts: Sequence[int]) -> KeyShown:
    return KeyShown(key_signs(official, cuts), key_in_words(official, cuts))


def preview(judged: JudgingClass, official: str, cuts: Sequence[int]) -> Preview:
    """What a key would mean for its class."""
    to_zero = judged.contest.negative_scores == Contest.NegativeScores.ZERO
    values = shared_values(JudgingClass, judged) | {"official": official, "cuts": tuple(cuts), "divisions": ()}
    rules = record.Rules("", negative_scores="zero" if to_zero else "keep")
    scores = grid_of(record.JudgingClass(**values), rules, _telling(official))
    printed = tuple((placing, figure(points)) for placing, points in scores)
    return Preview(signs_of(official, cuts), printed, limits(cuts, judged.perfect, len(official)))


def _telling(official: str) -> list[str]:
    """The placings that show each cut by itself, and the one that loses most."""
    swapped = [official[:at] + official[at : at + 2][::-1] + official[at + 2 :] for at in range(len(official) - 1)]
    return [official, *swapped, official[::-1]]
