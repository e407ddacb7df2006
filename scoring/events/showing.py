"""The sweepstakes of a day as everybody may read them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from contest.models import Contest, Event
from scoring.events.changing import announced, as_announced, rule_of
from scoring.events.tables import Table, rule_in_words, tables


class ShownDay(NamedTuple):
    """`rule` says in words how the tables are made; `corrections` what was announced of which contest, by its title."""

    event: Event
    contests: Sequence[Contest]
    tables: Sequence[Table]
    rule: Sequence[str]
    corrections: Sequence[tuple[str, str]]


def shown_event(event: Event) -> ShownDay | None:
    """None while the day, or a contest of it, is not released or still told from a stage."""
    shown = announced(event)
    if shown is None:
        return None
    contests = event.contests()
    rule = rule_of(event, contests)
    titles = [one.record.rules.name for one in shown]
    corrections = [(title, one.corrected) for title, one in zip(titles, shown, strict=True) if one.corrected]
    made = tables(as_announced(shown, contests), rule)
    return ShownDay(event, contests, made, rule_in_words(rule, titles), corrections)


def shown_day(contest: Contest) -> ShownDay | None:
    """The same of the day that a contest is of; None where it is of none."""
    event = Event.objects.filter(places__contest=contest).first()
    return shown_event(event) if event else None
