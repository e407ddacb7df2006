"""How a contest reads cards by scanner: switched on or not, how large the checked sample is, how long pictures stay."""

from __future__ import annotations

import secrets
from typing import Any

from contest.changes import changes, take_turn
from contest.models import Contest, ScannedCard, ScanRules, Touches
from contest.trail import record_change, sentence
from contest.web.revisions import once_a_version

CHANGEABLE = ("on", "most_wrong", "confidence", "keep_days", "on_packets")


def rules_of(contest: Contest) -> ScanRules:
    """The rules of a contest; one that has none yet reads no cards by scanner."""
    return ScanRules.objects.filter(contest=contest).first() or ScanRules(contest=contest)


def is_used(contest: Contest) -> bool:
    """Whether a contest reads cards by scanner, or has read any: only then its pages speak of it."""
    return ScanRules.objects.filter(contest=contest, on=True).exists() or contest.scans.exists()


def how_many_wait(contest: Contest) -> int | None:
    """How many cards wait for people, for the navigation, asked once a revision; None where `is_used` is not so."""

    def ask() -> int | None:
        if not is_used(contest):
            return None
        return ScannedCard.objects.filter(scan__contest=contest, became=ScannedCard.Became.WAITING).count()

    return once_a_version(f"scanning {contest.pk}", str(contest.revision), ask)


@changes
def change_rules(contest: Contest, by: str, **values: Any) -> ScanRules:
    """Change some of CHANGEABLE. The seed of the sample is drawn when cards are first to be read by scanner."""
    take_turn(contest.pk)
    rules = rules_of(contest)
    before = {name: getattr(rules, name) for name in CHANGEABLE} if rules.pk else None
    for name in CHANGEABLE:
        setattr(rules, name, values.get(name, getattr(rules, name)))
    rules.seed = rules.seed or secrets.token_hex(4)
    after = {name: getattr(rules, name) for name in CHANGEABLE}
    if after != before:
        rules.save()
        record_change(contest, by, sentence("scan_rules"), before, after | {"seed": rules.seed}, Touches.NOTHING)
    return rules
