"""The sweepstakes of a contest's day as papers say them."""

from __future__ import annotations

from typing import NamedTuple

from contest.models import Contest, Event
from scoring.events.changing import announced, as_announced, as_it_stands, rule_of
from scoring.events.tables import Table, rule_in_words, tables


class Sweepstakes(NamedTuple):
    """The tables of a day with the names of its contests and its rule in words. Before they are released they are as
    they stand, and `released` is false."""

    event: str
    contests: tuple[str, ...]
    tables: tuple[Table, ...]
    rule: tuple[str, ...]
    released: bool


def sweepstakes_of(contest: Contest) -> Sweepstakes | None:
    """Those of the day that a contest is of; None where it is of none."""
    event = Event.objects.filter(places__contest=contest).first()
    if event is None:
        return None
    contests, told = event.contests(), announced(event)
    rule = rule_of(event, contests)
    shown = as_it_stands(contests) if told is None else as_announced(told, contests)
    titles = tuple(one.record.rules.name for one in shown)
    return Sweepstakes(
        event.name, titles, tuple(tables(shown, rule)), tuple(rule_in_words(rule, titles)), told is not None
    )
