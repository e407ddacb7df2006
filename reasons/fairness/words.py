"""What the figures of an official or a room mean and what can be done, for a superintendent."""

from __future__ import annotations

from reasons.fairness.figures import Figures
from reasons.fairness.shifts import Shift, Unknown
from scoring.core.explain import listed
from scoring.core.points import as_figure
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop, ngettext

CLOSE_ENOUGH = 2.0
"""Points: a shift that is certainly smaller than this is no reason to act."""

UNKNOWN = {
    Unknown.ALONE: gettext_noop("Nobody else heard the same classes, so there is nobody to compare with."),
    Unknown.APART: gettext_noop(
        "Cannot be compared: no contestant ties those heard here to those whom others heard on the same classes."
    ),
    Unknown.TOO_FEW: gettext_noop("Too few sets yet to tell a shift from chance."),
}


def verdict(official: Figures) -> str:
    """In a sentence or two."""
    words = [_shift(official)]
    if official.is_constant:
        text = _("Gave each of {sets} sets the same {points}, and so told nobody apart.")
        words.insert(0, text.format(sets=official.sets, points=_points(official.least)))
    return " ".join(words)


def _shift(official: Figures) -> str:
    shift = official.shift
    if isinstance(shift, Unknown):
        return _(UNKNOWN[shift])
    if shift.is_seen:
        return f"{_size(shift)} {_what_to_do(official, shift)}"
    if max(-shift.low, shift.high) <= CLOSE_ENOUGH:
        return _("As the others: a shift, if any, is below {points}.").format(
            points=_points(max(-shift.low, shift.high))
        )
    text = _("No shift shows, but it may be anything from {low} to {high} points.")
    return text.format(low=signed(shift.low), high=signed(shift.high))


def _size(shift: Shift) -> str:
    near, far = (_decimal(points) for points in sorted((abs(shift.low), abs(shift.high))))
    if near == far:
        higher = _("Scores {points} higher than the others of the same classes, each contestant alike.")
        lower = _("Scores {points} lower than the others of the same classes, each contestant alike.")
    else:
        higher = _(
            "Scores about {points} higher than the others of the same classes, contestant for contestant "
            "(from {near} to {far} higher)."
        )
        lower = _(
            "Scores about {points} lower than the others of the same classes, contestant for contestant "
            "(from {near} to {far} lower)."
        )
    text = higher if shift.points > 0 else lower
    return text.format(points=_points(abs(shift.points)), near=near, far=far)


def _what_to_do(official: Figures, shift: Shift) -> str:
    if max(abs(shift.low), abs(shift.high)) < CLOSE_ENOUGH:
        return _("Too little to act on.")
    if not official.uneven:
        return _(
            "Whoever is ranked together was heard by the same, so it favours nobody. "
            "Tell the official for another time."
        )
    advantage = _(
        "In {lists}, whoever was heard here has an advantage: talk it over with the official, and let every "
        "official hear every contestant, or change rooms between classes."
    )
    disadvantage = _(
        "In {lists}, whoever was heard here has a disadvantage: talk it over with the official, and let every "
        "official hear every contestant, or change rooms between classes."
    )
    return (advantage if shift.points > 0 else disadvantage).format(lists=listed(official.uneven))


def signed(points: float) -> str:
    """With its sign and one decimal, as printed: `+1.6`, `−0.4`, `0.0`."""
    text = f"{points:+.1f}"
    return as_figure("0.0" if text[1:] == "0.0" else text)


def _points(points: float) -> str:
    is_one = f"{points:.1f}" == "1.0"
    return ngettext("{points} point", "{points} points", 1 if is_one else 2).format(points=_decimal(points))


def _decimal(points: float) -> str:
    return as_figure(f"{points:.1f}")
