"""What a season says of a member, in words."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from scoring.core.placing import cut_name
from scoring.core.points import figure
from scoring.core.season import advice
from scoring.core.season.advice import Advice
from scoring.core.season.gains import Slope
from scoring.core.season.lost import CLOSE, EASY, MODERATE, ReasonsMean
from scoring.season.sheet import MemberSheet

SIZE_NAMES = {
    CLOSE: gettext_lazy("close pairs, cut 1 to 3"),
    MODERATE: gettext_lazy("moderate pairs, cut 4 or 5"),
    EASY: gettext_lazy("easy pairs, cut 6 and more"),
}


def one_decimal(value: Fraction | float) -> str:
    return figure(round(Fraction(value) * 10) * Fraction(1, 10))


def signed(value: Fraction | float) -> str:
    shown = one_decimal(value)
    return shown if value <= 0 or shown == "0" else f"+{shown}"


def name_of_pair(animals: int, place: int) -> str:
    name = cut_name(place, animals)
    return capfirst(_("{name} pair").format(name=name))


def advice_in_words(told: Advice) -> str:
    return SAID[told.code](told)


def _few(told: Advice) -> str:
    more = int(told.about)
    words = ngettext(
        "Too little to say yet: after {count} more class there is advice here.",
        "Too little to say yet: after {count} more classes there is advice here.",
        more,
    )
    return words.format(count=more)


def _pair(told: Advice) -> str:
    name = cut_name(int(told.about))
    words = _("The {name} pair costs the most, {points} points so far: place that pair first on its own, and say why.")
    return words.format(name=name, points=figure(told.points))


def _easy(told: Advice) -> str:
    words = _(
        "{count} easy pairs were the wrong way round and cost {points} points: look at the whole class from a distance "
        "first, and sort what is plain before anything close."
    )
    return words.format(count=told.about, points=figure(told.points))


def _close(told: Advice) -> str:
    words = _(
        "{count} close pairs were the wrong way round and cost {points} points together: close pairs are anybody’s, so "
        "practise more of them, and do not change a placing late for one."
    )
    return words.format(count=told.about, points=figure(told.points))


def _category(told: Advice) -> str:
    words = _("{category} is {points} points a class below your own mean: practise classes of it next.")
    return words.format(category=told.about, points=one_decimal(told.points))


def _reasons(told: Advice) -> str:
    words = _("Reasons are {points} points a set further behind the others than placings are: practise reasons next.")
    return words.format(points=one_decimal(told.points))


def _placing(told: Advice) -> str:
    words = _("Placings are {points} points a class further behind the others than reasons are: practise placing next.")
    return words.format(points=one_decimal(told.points))


SAID: dict[str, Callable[[Advice], str]] = {
    advice.FEW: _few,
    advice.NOTHING: lambda told: _(
        "Nothing stands out that costs points again and again: go on, and vary the classes."
    ),
    advice.PAIR: _pair,
    advice.EASY_PAIRS: _easy,
    advice.CLOSE_PAIRS: _close,
    advice.CATEGORY: _category,
    advice.REASONS: _reasons,
    advice.PLACING: _placing,
}


def progress_in_words(sheet: MemberSheet) -> str:
    """How the member comes along, with how sure that is."""
    if sheet.slope is None:
        if sheet.days_missing:
            words = ngettext(
                "Too little to say yet: {count} more day beside others is needed.",
                "Too little to say yet: {count} more days beside others are needed.",
                sheet.days_missing,
            )
            return words.format(count=sheet.days_missing)
        return _("Too little to say yet: three members need three days each beside others.")
    return f"{_direction(sheet.slope)} {_interval(sheet.slope)}"


def _direction(slope: Slope) -> str:
    if slope.is_sure:
        return _("Gaining on the others.") if slope.mean > 0 else _("Falling behind the others.")
    return _("It cannot be told from keeping pace with the others.")


def _interval(slope: Slope) -> str:
    words = _(
        "Most likely {mean} points a class in a month against the others who placed the same classes; with 95 % "
        "certainty between {low} and {high}."
    )
    return words.format(mean=signed(slope.mean), low=signed(slope.low), high=signed(slope.high))


def both_in_words(both: ReasonsMean) -> list[str]:
    words = ngettext(
        "On {count} class with reasons: placing {placing}, reasons {reasons}, on the mean.",
        "On {count} classes with reasons: placing {placing}, reasons {reasons}, on the mean.",
        both.sets,
    )
    told = [words.format(count=both.sets, placing=one_decimal(both.placing), reasons=one_decimal(both.reasons))]
    if both.placing_ahead is not None and both.reasons_ahead is not None:
        words = _("Against the others on the same classes: placing {placing}, reasons {reasons}.")
        told.append(words.format(placing=signed(both.placing_ahead), reasons=signed(both.reasons_ahead)))
    return told
