"""What the superintendent's page of results shows."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import F
from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.models import Contest
from contest.records.tallying import Tallied
from contest.trail.sentences import Sentence
from contest.web.bounds import part_of
from scoring.announced.held_back import has_begun, holds_back, holds_back_from_families
from scoring.announced.released import released
from scoring.core.differences import Differences
from scoring.core.explain import first_numbers, listed
from scoring.models import KeyRelease, Protest, ProtestWindow
from scoring.results.checklist import Item
from scoring.results.corrections import moved_lists, unannounced
from scoring.results.critique import against_a_critique
from scoring.results.forms import LOCAL_TIME, first_deadline
from scoring.results.release import has_rows, still_to_accept
from scoring.results.web_copy.pages import told_of_web_copy

PROTESTS_SHOWN = 30
"""Protests on the page, those that are open first; the others follow on further pages."""

FEW_ROWS = 40
"""Rows that move, up to which every list of them is laid open."""


@dataclass(frozen=True, slots=True)
class KeyLine:
    """A class with a key, and whether it is shown in public; `against` says why it should not be yet."""

    number: int
    name: str
    has_key: bool
    shown_at: Any
    against: list[Sentence]
    address: str


def results_page(contest: Contest, shown: Tallied, asked: QueryDict | None = None) -> dict[str, Any]:
    """Everything on the page: the checklist, or what is not announced; protests; the keys; and the ways out."""
    announced = released(contest)
    items = still_to_accept(contest, shown)
    changes = unannounced(contest, shown)
    window = ProtestWindow.objects.filter(contest=contest).first()
    protests = Protest.objects.filter(contest=contest).order_by(F("closed_at").asc(nulls_first=True), "at")
    return {
        "announced": announced,
        "held_back": holds_back(contest),
        "web_copy": told_of_web_copy(contest),
        "families_wait": holds_back_from_families(contest),
        "can_be_withdrawn": announced is not None and not has_begun(contest),
        "items": items,
        "shown": fingerprint(items),
        "differences": changes,
        "moved": list(moved_lists(changes.lists, shown.record)),
        "few": sum(len(moved.rows) for moved in changes.lists) <= FEW_ROWS,
        "also": also_changed(changes),
        "releases": list(contest.releases.defer("book")),
        "window": window,
        "window_over": window is not None and window.deadline <= timezone.now(),
        "deadline": localtime(window.deadline).strftime(LOCAL_TIME) if window else first_deadline(),
        "protests": part_of(protests, PROTESTS_SHOWN, asked or QueryDict(), name="protests"),
        "keys": list(_keys(contest, shown)),
        "has_rows": has_rows(shown),
    }


def fingerprint(items: Iterable[Item]) -> str:
    """Stands for the lines that somebody has before their eyes."""
    return hashlib.sha256(" ".join(item.key for item in items).encode()).hexdigest()[:16]


def also_changed(changes: Differences) -> list[str]:
    """What changes besides places and totals, in words."""
    words = []
    if changes.keys:
        keys = ngettext("the key of class {classes}", "the key of classes {classes}", len(changes.keys))
        words.append(keys.format(classes=listed(map(str, changes.keys))))
    people = sorted({whose for score in changes.scores if isinstance(whose := score.whose, int)})
    if people:
        words.append(_("scores of {contestants}").format(contestants=first_numbers(people)))
    if changes.slips:
        of = first_numbers(whose[1] if isinstance(whose, tuple) else whose for whose in changes.slips)
        words.append(_("what is on cards or slips of {contestants}").format(contestants=of))
    if changes.doubts:
        words.append(_("whether cards of {contestants} are in doubt").format(contestants=first_numbers(changes.doubts)))
    if changes.people:
        people_changed = listed(map(str, changes.people))
        words.append(_("name, team or division of {contestants}").format(contestants=people_changed))
    if changes.ties:
        words.append(_("how ties were decided"))
    if changes.standardised:
        words.append(_("whether reasons are standardised"))
    if changes.outline:
        words.append(_("what the contest, its classes or its lists are called or ask for"))
    return words


def _keys(contest: Contest, shown: Tallied) -> Iterator[KeyLine]:
    released_at = dict(
        KeyRelease.objects.filter(judging_class__contest=contest).values_list("judging_class__number", "at")
    )
    against = against_a_critique(contest, shown)
    for judged in shown.record.classes:
        if judged.needs_key:
            at = released_at.get(judged.number)
            has_key = judged.official is not None
            address = reverse("public-class", args=[contest.pk, judged.number])
            yield KeyLine(
                judged.number, judged.name, has_key, at and localtime(at), against.get(judged.number, []), address
            )
