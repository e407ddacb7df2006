"""What every change to a contest's outline shares: what a row says, who saw it when, and how the trail tells it."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from contest.changes.exceptions import ChangedMeanwhile
from contest.models import Category, Contest, Division, JudgingClass, Part, ResultSet
from contest.trail import record_change
from contest.trail.sentences import Sentence

OutlineRow = Division | Category | JudgingClass | Part | ResultSet
Values = dict[str, Any]
"""The settings of a row as JSON holds them; divisions and categories by their codes."""

FACTS = (
    *("name", "held_on", "place", "starts_at", "minutes_per_class"),
    *("late_after", "late_entries", "show_people_as"),
)
RULES = (
    *("readings_per_card", "same_reader_twice", "negative_scores", "unreadable_card"),
    *("reasons_in_category", "reasons_standardised"),
)


def fingerprint(now: Values) -> str:
    """A short mark of settings as a page showed them; another mark means that they have changed."""
    return hashlib.sha256(json.dumps(now, sort_keys=True).encode()).hexdigest()[:16]


def check_fingerprint(now: Values, mark: str | None) -> None:
    """Raise ChangedMeanwhile where a page that showed something else asks for a change; without a mark all is well."""
    if mark is not None and mark != fingerprint(now):
        raise ChangedMeanwhile(now)


def write_down(contest: Contest, by: str, what: Sentence, before: Values, after: Values) -> None:
    """Write down what of `before` became something else; nothing is written where nothing did."""
    altered = [name for name in after if before.get(name) != after[name]]
    if altered:
        old, new = ({name: values.get(name) for name in altered} for values in (before, after))
        record_change(contest, by, what, before=old, after=new)


def plain_values(row: Any, fields: tuple[str, ...]) -> Values:
    """A row's own settings, or those of the contest itself, as JSON holds them."""
    return {name: _as_json(getattr(row, name)) for name in fields}


def _as_json(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else value
