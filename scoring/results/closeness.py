"""The cards that decide: how far apart the awards are, which misreads would change one, and how sure they are."""

from __future__ import annotations

from collections import OrderedDict, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from contest.changes.locks import MemoryLock
from contest.models import Contest
from contest.records.answers import answered
from contest.records.tallying import Tallied
from contest.slips.stack import numbers_in_words
from contest.web.bounds import part_of
from contest.web.revisions import once_a_version
from scoring.core.explain import list_names, some_of
from scoring.core.fields import Field
from scoring.core.margins import Award, Margins, chance, margins_of, parts_open
from scoring.core.points import as_figure, figure
from scoring.core.questions import misread_points
from scoring.results.checklist import places_with_awards
from scoring.results.readings import Looked, looked_at_by_now

AWARDS_SHOWN = 12
"""Awards on a page; those of first places first, and of these the closest."""

PILES_SHOWN = 5
"""Piles of an award; the others follow once these are read."""

READ_AT_ONCE = 24
"""Cards of a pile that are asked for together; those that are left are named again afterwards."""

CLOSEST = 3
"""First places that the checklist names."""

PUBLISHED = (
    (gettext_noop("typed once"), 0.0029),
    (gettext_noop("typed twice, and compared"), 0.0014),
    (gettext_noop("scanned"), 0.0074),
)
"""Wrong fields of 10 000, by how they got into a computer (Garza et al. 2025)."""


CONTESTS_KEPT = 4
"""One live contest and a few that somebody looks back at."""

Places = Mapping[tuple[str, str, str], int]

_lock = MemoryLock()
_kept: OrderedDict[int, tuple[tuple[object, ...], Margins]] = OrderedDict()
"""By contest, what margins were last made of, and they."""


@dataclass(frozen=True, slots=True)
class Pile:
    """Cards of a class, or what one official gave on it, that decide an award and were not read once more."""

    name: str
    numbers: str
    address: str
    blind: bool


@dataclass(frozen=True, slots=True)
class AwardLine:
    """One award in words: `Senior, Overall: 101 first`, how close, and what decides it; `left` were not read once
    more."""

    name: str
    margin: str
    deciding: int
    left: int
    chance: str
    piles: list[Pile]
    more_piles: int


@dataclass(frozen=True, slots=True)
class Close:
    """What was worked out of a contest at one revision."""

    margins: Margins
    looked: Looked


@dataclass(frozen=True, slots=True)
class RateLine:
    """A rate of misreads, and the chances that one changed a first place, or any award; as printed."""

    of: str
    rate: str
    first: str
    any: str


def close_awards(contest: Contest, shown: Tallied) -> Close:
    """Worked out once a revision: it takes a moment in a large contest."""
    places = places_with_awards(contest, shown.result)

    def work() -> Close:
        answers = {
            Field(f"part:{code}", number): misread_points(found.questions, row)
            for code, found in answered(contest).items()
            for number, row in found.rows.items()
        }
        return Close(_margins(contest, shown, places, answers), looked_at_by_now(contest))

    return once_a_version(f"margins-{contest.pk}", f"{shown.revision} {sorted(places.items())}", work, _lock)


def _margins(contest: Contest, shown: Tallied, places: Places, answers: Mapping[Field, Sequence[int]]) -> Margins:
    """Worked out anew only where what counts has changed: a second reading that agrees with the first changes none."""
    counts = replace(shown.record, cards=()), [card[:3] for card in shown.record.cards], places, answers
    kept = _kept.pop(contest.pk, None)
    if kept is None or kept[0] != counts:
        kept = counts, margins_of(shown.record, shown.result, places, answers)
    _kept[contest.pk] = kept
    while len(_kept) > CONTESTS_KEPT:
        _kept.popitem(last=False)
    return kept[1]


def closest(contest: Contest, shown: Tallied) -> dict[str, Any]:
    """What the checklist says: the closest first places, and how much of what decides them was read once more."""
    close = close_awards(contest, shown)
    words = _Words(contest, shown, close)
    firsts = [award for award in _in_order(close.margins) if award.place == 1 and award.fields]
    deciding = words.firsts
    return {
        "closest": [words.line(award) for award in firsts[:CLOSEST]],
        "more": len(firsts[CLOSEST:]),
        "deciding": len(deciding),
        "left": sum(field not in close.looked.sure for field, _part in deciding),
        "rates": words.rates()[:1],
    }


def page(contest: Contest, shown: Tallied, asked: QueryDict) -> dict[str, Any]:
    """The page of all awards, a part at a time."""
    close = close_awards(contest, shown)
    words = _Words(contest, shown, close)
    part = part_of(_in_order(close.margins), AWARDS_SHOWN, asked)
    compared = close.looked.compared
    return {
        "part": part,
        "lines": [words.line(award) for award in part.rows],
        "rates": words.rates(),
        "compared": compared if compared.both else None,
        "deciding": len(close.margins.fields),
        "left": sum(field not in close.looked.sure for field, _part in close.margins.fields),
    }


def _in_order(margins: Margins) -> list[Award]:
    """First places first, and of each place the closest first; what nobody is next to comes last."""
    return sorted(
        margins.awards, key=lambda award: (award.place, award.margin is None, award.margin or 0, award.division)
    )


class _Words:
    def __init__(self, contest: Contest, shown: Tallied, close: Close) -> None:
        self._contest, self._close = contest, close
        self._divisions = shown.record.division_names
        self._lists = list_names(shown.record)
        self._parts = {part.code: part.name for part in shown.record.parts}
        self._officials = dict(contest.reasons_officials.values_list("name", "pk"))
        self.firsts = close.margins.firsts()
        self._open = [parts_open(of, close.looked.sure) for of in (self.firsts, close.margins.fields)]
        single, double, _scanned = (rate for _name, rate in PUBLISHED)
        self._usual = double if contest.readings_per_card > 1 else single

    def line(self, award: Award) -> AwardLine:
        sure = self._close.looked.sure
        left = [field for field, _part in award.fields if field not in sure]
        text = _("{division}, {list}: {holder}, place {place}")
        return AwardLine(
            text.format(
                division=self._divisions[award.division],
                list=self._lists[award.code],
                holder=award.holder,
                place=award.place,
            ),
            _margin(award),
            len(award.fields),
            len(left),
            percent(chance(parts_open(award.fields, sure), self._usual)),
            (piles := self._piles(left))[:PILES_SHOWN],
            len(piles[PILES_SHOWN:]),
        )

    def _piles(self, fields: Iterable[Field]) -> list[Pile]:
        """What is to be fetched to be read once more, by where it lies."""
        numbers: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
        teams: defaultdict[str, list[str]] = defaultdict(list)
        for field in fields:
            if field.team:
                teams[field.item].append(field.team)
            else:
                numbers[field.item, field.official].append(field.number)
        in_order = sorted(numbers.items(), key=_by_item)
        piles = [self._pile(item, official, sorted(of)) for (item, official), of in in_order]
        for item, names in sorted(teams.items()):
            code = item.partition(":")[2]
            piles.append(Pile(self._parts[code], some_of(sorted(names)), self._address("scores-part", code), False))
        return piles

    def _pile(self, item: str, official: str, numbers: list[int]) -> Pile:
        kind, _colon, of = item.partition(":")
        words = some_of([str(number) for number in numbers])
        again = "?again=" + numbers_in_words(numbers[:READ_AT_ONCE])
        if kind == "class":
            name = _("Class {number}, cards").format(number=of)
            return Pile(name, words, self._address("desk-loose", int(of)) + again, True)
        if kind == "reasons":
            name = _("Class {number}, reasons, {official}").format(number=of, official=official)
            address = self._address("scores-reasons-sheet", int(of), self._officials[official])
            return Pile(name, words, address + again, True)
        return Pile(self._parts[of], words, self._address("scores-part", of), False)

    def _address(self, name: str, *args: int | str) -> str:
        return reverse(name, args=[self._contest.pk, *args])

    def rates(self) -> list[RateLine]:
        """The usual published rate first, then the other ones, and this contest's own."""
        by_rate = sorted(PUBLISHED, key=lambda named: named[1] != self._usual)
        lines = [self._rate(_("published: {how}").format(how=_(name)), [rate]) for name, rate in by_rate]
        compared = self._close.looked.compared
        if compared.both:
            lines.append(self._rate(_("one reader in this contest"), [compared.rate, *compared.interval]))
        return lines

    def _rate(self, name: str, rates: list[float]) -> RateLine:
        wrong = _spread([as_figure(f"{10000 * rate:.0f}") for rate in rates])
        first, any_ = (_spread([percent(chance(parts, rate)) for rate in rates]) for parts in self._open)
        return RateLine(name, wrong, first, any_)


def _by_item(named: tuple[tuple[str, str], list[int]]) -> tuple[str, int, str, str]:
    (item, official), _numbers = named
    kind, _colon, of = item.partition(":")
    return kind, int(of) if kind != "part" else 0, of, official


def _margin(award: Award) -> str:
    if award.margin is None:
        return _("nobody is next")
    if not award.margin:
        return _("level with the next")
    points = figure(award.margin)
    return ngettext("by {points} point", "by {points} points", 1 if award.margin == 1 else 2).format(points=points)


def _spread(figures: list[str]) -> str:
    """One figure, or one with the interval it lies in."""
    if len(figures) == 1:
        return figures[0]
    figure_, low, high = figures
    return _("{figure} ({low} to {high})").format(figure=figure_, low=low, high=high)


def percent(share: float) -> str:
    """A chance as printed: `2.1 %`, and what is less than a tenth of one so."""
    if 0 < share < 0.001:
        text = _("below {percent} %").format(percent=as_figure("0.1"))
    else:
        text = _("{percent} %").format(percent=as_figure(f"{100 * share:.1f}"))
    return text.replace(" %", "\u00a0%")  # which no line breaks at
