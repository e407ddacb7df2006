"""Reads from the database what the page of progress counts: a constant number of queries, whatever the contest."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime, timedelta

from django.db.models import BooleanField, Case, Count, F, Min, Q, Subquery, Value, When
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes.snapshot import one_snapshot
from contest.models import (
    Card,
    Choice,
    ClassDivision,
    Contest,
    Contestant,
    JudgingClass,
    Mark,
    Part,
    Reading,
    ReasonsScore,
)
from contest.watch.progress import (
    PACE_WINDOW,
    STANDINGS,
    CardRow,
    ClassRow,
    Estimate,
    PeopleRow,
    Progress,
    ScoreProgress,
    count_cards,
    count_worst,
    estimate,
    group_order,
    readings_needed,
)
from scoring.core.record import NO_CARD

PACE_STEP = 30
"""Seconds after which the pace is worked out anew though nothing was read: it falls while nobody reads."""

EARLIEST = datetime(2000, 1, 1, tzinfo=UTC)

COUNTED = Q(contestant__present=True, contestant__ineligible=False)
JUDGED = Q(
    judging_class__class_divisions__division=F("contestant__division"), judging_class__class_divisions__void=False
)


def version_of(revision: int | None) -> str:
    """What is known of the progress at this moment; it also moves with the time, see PACE_STEP."""
    return f"{revision}.{int(time.time() // PACE_STEP)}"


@one_snapshot()
def progress_of(contest: Contest) -> tuple[Progress, Estimate]:
    """Every class and group counted, and how long the rest takes."""
    judging, giving = defaultdict(set), defaultdict(set)
    for row in ClassDivision.objects.filter(judging_class__contest=contest, void=False):
        judging[row.judging_class_id].add(row.division_id)
        if row.gives_reasons:
            giving[row.judging_class_id].add(row.division_id)
    classes = list(contest.classes.all())
    here = Contestant.objects.filter(contest=contest, present=True, ineligible=False)
    people = [PeopleRow(*row) for row in here.values_list("division", "group").annotate(Count("pk")).order_by()]
    counted = count_cards(
        [ClassRow(c.number, c.name, c.void, frozenset(judging[c.pk]), c.full_points) for c in classes if c.places],
        people,
        _cards(contest),
    )
    in_division: defaultdict[int, int] = defaultdict(int)
    for group in people:
        in_division[group.division] += group.count
    progress = Progress(
        counted.groups,
        counted.rows,
        counted.group_totals,
        counted.total,
        tuple(_reasons(contest, [c for c in classes if giving[c.pk] and not c.void], giving, in_division)),
        tuple(_marks(contest, in_division)),
    )
    return progress, _estimate(contest, progress)


@one_snapshot()
def numbers_of(
    contest: Contest, judging_class: JudgingClass, group: str | None = None
) -> list[tuple[str, dict[str, list[int]]]]:
    """The numbers of a class, of one group or group by group, by how far their cards are."""
    due = Contestant.objects.filter(
        contest=contest,
        present=True,
        ineligible=False,
        division__class_divisions__judging_class=judging_class,
        division__class_divisions__void=False,
    )
    if judging_class.full_points and not judging_class.void:
        due = due.none()
    if group is not None:
        due = due.filter(group=group)
    cards = Card.objects.filter(judging_class=judging_class).values_list("contestant", "state", "placing")
    standing = {pk: _standing(state, placing) for pk, state, placing in cards}
    by_place: dict[str, dict[str, list[int]]] = {}
    for pk, number, of_group in due.order_by("number").values_list("pk", "number", "group"):
        numbers = by_place.setdefault(of_group, {name: [] for name in STANDINGS})
        numbers[standing.get(pk, "missing")].append(number)
    return sorted(by_place.items(), key=lambda item: group_order(item[0]))


def _standing(state: str, placing: str) -> str:
    return "no card" if state == "settled" and placing == NO_CARD else state


def _cards(contest: Contest) -> list[CardRow]:
    no_card = Case(When(placing=NO_CARD, then=Value(True)), default=Value(False), output_field=BooleanField())
    rows = (
        Card.objects.filter(COUNTED, JUDGED, judging_class__contest=contest)
        .annotate(no_card=no_card)
        .values_list("judging_class__number", "contestant__group", "state", "no_card")
        .annotate(Count("pk"))
        .order_by()
    )
    return [CardRow(*row) for row in rows]


def _reasons(
    contest: Contest,
    classes: Iterable[JudgingClass],
    giving: Mapping[int, Iterable[int]],
    in_division: Mapping[int, int],
) -> Iterator[ScoreProgress]:
    scores: defaultdict[int, list[tuple[int, str]]] = defaultdict(list)
    rows = ReasonsScore.objects.filter(COUNTED, JUDGED, judging_class__contest=contest)
    for class_key, contestant, state in rows.values_list("judging_class", "contestant", "state"):
        scores[class_key].append((contestant, state))
    for judged in classes:
        due = sum(in_division[division] for division in giving[judged.pk])
        yield ScoreProgress(_("Class {judged}").format(judged=judged), count_worst(due, scores[judged.pk]))


def _marks(contest: Contest, in_division: Mapping[int, int]) -> Iterator[ScoreProgress]:
    states: defaultdict[int, list[tuple[int, str]]] = defaultdict(list)
    here = Q(team__isnull=False) | COUNTED
    for part_key, mark, state in Mark.objects.filter(here, part__contest=contest).values_list("part", "pk", "state"):
        states[part_key].append((mark, state))
    chosen = Choice.objects.filter(COUNTED, part__contest=contest)
    for part_key, contestant, state in chosen.values_list("part", "contestant", "state"):
        states[part_key].append((contestant, state))
    teams: Mapping[int, int] = dict(
        contest.contestants.filter(present=True, ineligible=False, team__isnull=False)
        .values_list("division")
        .annotate(Count("team", distinct=True))
        .order_by()
    )
    for part in contest.parts.prefetch_related("divisions"):
        of = teams if part.scope == Part.Scope.TEAM else in_division
        yield ScoreProgress(part.name, count_worst(sum(of.get(d.pk, 0) for d in part.divisions.all()), states[part.pk]))


def _estimate(contest: Contest, progress: Progress) -> Estimate:
    now = timezone.now()
    # What a contest was made with, such as a book's cards, nobody has read today.
    made_at = contest.trail.order_by("revision").values("at")[:1]
    recent = Reading.objects.filter(
        judging_class__contest=contest,
        at__gte=now - timedelta(seconds=PACE_WINDOW),
        at__gt=Coalesce(Subquery(made_at), Value(EARLIEST)),
        withdrawn_at=None,
        decides=False,
    ).aggregate(readings=Count("pk"), first=Min("at"))
    seconds = (now - recent["first"]).total_seconds() if recent["first"] else 0
    return estimate(readings_needed(progress.total, contest.readings_per_card), recent["readings"], seconds)
