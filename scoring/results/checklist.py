"""What stands between a contest and its results, as the program works it out. Each line leads to where it is mended."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Max
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.committee.states import agreed_classes
from contest.entries.arrivals import never_came
from contest.keys import DISPUTED
from contest.models import Contest, Scan, State
from contest.records.tallying import Tallied
from contest.scanning.rules import how_many_wait
from contest.scanning.sample import sample_of
from contest.slips.mixups import Finding, open_findings
from contest.trail.sentences import Sentence, as_json, sentence
from contest.watch.doubts import ABSENT, UNKNOWN, WRONG_CLASS, Doubt
from contest.watch.waiting import waiting
from scoring.core import suspicious
from scoring.core.committee import compared
from scoring.core.due import Owner, fewer_officials, missing_cards, missing_marks, missing_reasons
from scoring.core.placing import PAIRS, limits
from scoring.core.record import IN_SET
from scoring.core.result import IndividualRow, Result, TeamRow
from scoring.core.sets import in_no_set
from scoring.core.standardising import LEAST_SETS, is_standardising, too_few_sets
from scoring.results.lines import first_of, joined
from scoring.standings.open_ends import OpenEnds, open_ends

CARDS, KEYS = gettext_noop("Cards"), gettext_noop("Keys")
SCORES, TIES, LOOK = gettext_noop("Reasons and marks"), gettext_noop("Shared places"), gettext_noop("Worth a look")
SECTIONS = (CARDS, KEYS, SCORES, TIES, LOOK)

USUAL_PLACES = 10
"""Places that get an award where the contest has not said how many."""


STRAYS = {UNKNOWN: "cards_of_nobody", WRONG_CLASS: "cards_of_another_class", ABSENT: "cards_of_absent"}


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that is not as it should be, or may not be. `address` leads to its mending; a `finding` can be mended
    at once."""

    section: str
    line: Sentence
    address: str
    mend: str
    finding: Finding | None = None

    @property
    def text(self) -> str:
        return str(self.line)

    @property
    def key(self) -> str:
        """Stands for what the line says in any language, so that nobody accepts more than they saw."""
        said = json.dumps([self.section, as_json(self.line)], sort_keys=True)
        return hashlib.sha256(said.encode()).hexdigest()[:16]


def checklist(contest: Contest, shown: Tallied) -> list[Item]:
    """Everything that is open or looks wrong, in the order of SECTIONS."""
    return _Checking(contest, shown, open_ends(contest)).items()


class _Checking:
    def __init__(self, contest: Contest, shown: Tallied, ends: OpenEnds) -> None:
        record = shown.record
        self._contest, self._record, self._result, self._ends = contest, record, shown.result, ends
        self._mixups = open_findings(contest, shown)
        self._divisions = record.division_names
        self._void = {judged.number for judged in record.classes if judged.void}
        division_of = {contestant.number: contestant.division for contestant in record.contestants}
        by_cards = {(judged.number, code) for judged in record.classes for code in judged.card_divisions}
        self._idle_cards = {
            (judged.number, who)
            for judged in record.classes
            for who, code in division_of.items()
            if (judged.number, code) not in by_cards
        }
        self._doubts = waiting(contest).doubts

    def items(self) -> list[Item]:
        keys = [*self._committees(), *self._keys()]
        return [*self._cards(), *keys, *self._scores(), *self._ties(), *self._worth_a_look()]

    def _cards(self) -> Iterator[Item]:
        yield from self._doubtful_cards(self._doubts)
        for number, people in sorted(self._ends.cards.items()):
            states = people.items()
            once = sorted(who for who, state in states if state == State.ONCE and (number, who) not in self._idle_cards)
            if once:
                line = self._of_class("cards_read_once", number, once)
                yield self._item(CARDS, line, _("Read them"), "progress-class", number)
        for number, missing in missing_cards(self._record).items():
            line = self._of_class("cards_missing", number, missing)
            yield self._item(CARDS, line, _("See the class"), "progress-class", number)

        yield from self._scanned()

    def _scanned(self) -> Iterator[Item]:
        """Of cards by scanner: what waits for people, and how the sample stands where the scanner reads alone."""
        waiting = how_many_wait(self._contest)
        if waiting is None:
            return
        if waiting:
            line = sentence("scanned_cards_wait", count=waiting)
            yield self._item(CARDS, line, _("Read them"), "scanning-cards")
        if count := self._contest.scans.exclude(state__in=[Scan.State.DONE, Scan.State.CANCELLED]).count():
            yield self._item(CARDS, sentence("scan_not_ended", count=count), _("See the pages"), "scanning")
        sample = sample_of(self._contest)
        if sample is None:
            return
        for of, left in sample.left.items():
            code = "sample_failed" if of in sample.failed else "sample_unread"
            if isinstance(of, int):
                line = self._of_class(code, of, left)
            else:
                name = next(part.name for part in self._record.parts if part.code == of)
                line = sentence(f"{code}_of_part", part=name, count=len(left), whose=first_of(left))
            yield self._item(CARDS, line, _("Read them"), "scanning-sample")
        if sample.is_done:
            said = {"checked": sample.checked, "cards": sample.cards, "most": sample.still_wrong}
            line = sentence("sample_read", **said, confidence=sample.rules.confidence)
            yield self._item(CARDS, line, _("See the sample"), "scanning-sample")

    def _doubtful_cards(self, doubts: Iterable[Doubt]) -> Iterator[Item]:
        differing: dict[int, list[int]] = {}
        strays: dict[tuple[int, str], list[int]] = {}
        for doubt in doubts:
            if doubt.about != "card" or doubt.class_number is None or doubt.number is None:
                continue
            if doubt.kind in STRAYS:
                strays.setdefault((doubt.class_number, doubt.kind), []).append(doubt.number)
            elif (doubt.class_number, doubt.number) not in self._idle_cards:
                differing.setdefault(doubt.class_number, []).append(doubt.number)
        for number, people in sorted(differing.items()):
            yield self._item(CARDS, self._of_class("cards_in_doubt", number, sorted(people)), _("Decide"), "doubts")
        for (number, kind), people in sorted(strays.items()):
            yield self._item(CARDS, self._of_class(STRAYS[kind], number, sorted(people)), _("Decide"), "doubts")

    def _keys(self) -> Iterator[Item]:
        see_the_key = _("See the key")
        for judged in self._record.classes:
            if not judged.needs_key:
                continue
            if judged.official is None or judged.cuts is None:
                line = sentence("key_missing", judged=judged.number)
                yield self._item(KEYS, line, _("Enter it"), "key", judged.number)
                continue
            if state := self._ends.keys.get(judged.number):
                code = "key_disputed" if state == DISPUTED else "key_typed_once"
                yield self._item(KEYS, sentence(code, judged=judged.number), see_the_key, "key", judged.number)
            for limit in limits(judged.cuts, judged.perfect, len(judged.animals)):
                line = sentence("key_beyond_limit", judged=judged.number, limit=sentence(limit.code, **limit.values))
                yield self._item(KEYS, line, see_the_key, "key", judged.number)

        for part in self._record.parts:
            state = self._ends.part_keys.get(part.code)
            if part.counts and not state:
                continue
            code = "part_key_disputed" if state == DISPUTED else "part_key_typed_once" if state else "part_key_missing"
            mend = see_the_key if state else _("Enter it")
            yield self._item(KEYS, sentence(code, part=part.name), mend, "part-key", part.code)

    def _committees(self) -> Iterator[Item]:
        """Until the class has a key that says who agreed on it."""
        apart = {number for number, found in compared(self._record).items() if not found.agreement.is_reasonable}
        agreed = agreed_classes(self._contest) if apart else set()
        for number in sorted(apart - agreed - self._void):
            line = sentence("committee_apart", judged=number)
            yield self._item(KEYS, line, _("See what they handed in"), "committee-class", number)

    def _scores(self) -> Iterator[Item]:
        see_the_scores = _("See the scores")
        see_what_it_does = _("See what it does")
        if is_standardising(self._record):
            yield self._item(SCORES, sentence("reasons_standardised"), see_what_it_does, "reasons-fairness")
        if few := too_few_sets(self._record):
            line = sentence("reasons_left_as_given", count=len(few), least=LEAST_SETS)
            yield self._item(SCORES, line, see_what_it_does, "reasons-fairness")
        for number, people in missing_reasons(self._record).items():
            line = self._of_class("reasons_missing", number, people)
            yield self._item(SCORES, line, see_the_scores, "scores-class", number)
        for number, people in fewer_officials(self._record).items():
            line = self._of_class("officials_missing", number, people)
            yield self._item(SCORES, line, see_the_scores, "scores-class", number)
        for number, states in sorted(self._ends.reasons.items()):
            if number not in self._void:
                yield from self._unsettled(states, "reasons", {"judged": number}, "scores-class", number)
        parts = {part.code: part.name for part in self._record.parts}
        for code, owners in missing_marks(self._record).items():
            yield from self._missing_marks(code, parts[code], owners)
        for code, marks in self._ends.marks.items():
            yield from self._unsettled(marks, "marks", {"part": parts[code]}, "scores-part", code)
        astray = sorted({d.number for d in self._doubts if d.stray and d.about != "card" and d.number})
        if astray:
            line = sentence("choices_astray", count=len(astray), whose=first_of(astray))
            yield self._item(SCORES, line, _("Decide"), "doubts")
        absent = sorted({d.number for d in self._doubts if d.kind == ABSENT and d.about != "card" and d.number})
        if absent:
            line = sentence("absent_scored", count=len(absent), whose=first_of(absent))
            yield self._item(SCORES, line, _("Decide"), "doubts")

    def _missing_marks(self, code: str, part: str, owners: tuple[Owner, ...]) -> Iterator[Item]:
        """A division of which nothing was entered is a line of its own: a whole sheet may still lie somewhere."""
        divisions = {c.number: c.division for c in self._record.contestants}
        entered = {mark.division or divisions[mark.number or 0] for mark in self._record.marks if mark.part == code}
        entered |= {divisions[choice.number] for choice in self._record.choices if choice.part == code}
        for division, name in self._divisions.items():
            whose = [o for o in owners if (o[0] if isinstance(o, tuple) else divisions[o]) == division]
            missing = "marks_missing" if division in entered else "marks_all_missing"
            if whose:
                line = sentence(missing, part=part, division=name, count=len(whose), whose=self._owners(whose))
                yield self._item(SCORES, line, _("See the marks"), "scores-part", code)

    def _unsettled(
        self, states: dict[Any, str], kind: str, of: dict[str, Any], address: str, *args: int | str
    ) -> Iterator[Item]:
        for state, trouble in ((State.DOUBT, "in_doubt"), (State.ONCE, "read_once")):
            whose = sorted((owner for owner, owner_state in states.items() if owner_state == state), key=str)
            line = sentence(f"{kind}_{trouble}", **of, whose=self._owners(whose))
            if whose and state == State.DOUBT:
                yield self._item(SCORES, line, _("Decide"), "doubts")
            elif whose:
                yield self._item(SCORES, line, _("Read them"), address, *args)

    def _ties(self) -> Iterator[Item]:
        places = places_with_awards(self._contest, self._result)
        names = {category.code: category.name for category in self._record.categories}
        for standing in self._result.standings:
            for kind, rows in (("individuals", standing.individuals), ("teams", standing.teams)):
                most = places.get((standing.division, standing.code, kind), 0)
                for rank, whose in shared_ranks(rows, most):
                    line = sentence(
                        "rank_shared_by_teams" if kind == "teams" else "rank_shared",
                        division=self._divisions[standing.division],
                        list=names.get(standing.code) or sentence(f"list_{standing.code}"),
                        whose=joined(whose),
                        rank=rank,
                    )
                    address = reverse("standings-ties", args=[self._contest.pk, standing.division, standing.code])
                    yield Item(TIES, line, address, _("Decide it"))

    def _worth_a_look(self) -> Iterator[Item]:
        for finding in self._mixups:
            address, mend = f"{reverse('doubts', args=[self._contest.pk])}#{finding.anchor}", _("See what can be done")
            if finding.act == "key" and len(finding.mixup.classes) == 1:
                address, mend = reverse("key", args=[self._contest.pk, *finding.mixup.classes]), _("Key it again")
            yield Item(LOOK, finding.line, address, mend, finding)
        yield from self._idle_cuts()
        for number, people in suspicious.odd_reasons(self._record).items():
            line = self._of_class("reasons_odd", number, people)
            yield self._item(LOOK, line, _("See the scores"), "scores-class", number)
        if people := suspicious.without_any_card(self._record):
            line = sentence("without_any_card", whose=first_of(people))
            yield self._item(LOOK, line, _("See who is here"), "check_in")
        if nowhere := in_no_set(self._record):
            line = sentence("in_no_set", count=len(nowhere), whose=first_of(nowhere))
            yield self._item(LOOK, line, _("See who is in which set"), "entries-sets")
        if never := never_came(self._contest):
            line = sentence("cards_and_never_came", count=len(never), whose=first_of(never))
            yield self._item(LOOK, line, _("See who is missing"), "check-in-missing")
        for same in suspicious.alike(self._record):
            of = {"division": self._divisions[same.division], "team": same.team, "count": same.classes}
            if same.whole_team:
                line = sentence("whole_team_alike", **of)
            else:
                line = sentence("members_alike", **of, members=joined(same.members))
            team_pk = self._ends.teams[same.division, same.team]
            yield self._item(LOOK, line, _("See the team"), "standings-team", same.division, team_pk)

    def _idle_cuts(self) -> Iterator[Item]:
        see_the_key = _("See the key")
        for number, names in suspicious.cuts_of_nothing(self._record).items():
            cuts = joined([sentence(f"cut_{name}") if name in PAIRS else name for name in names])
            line = sentence("cuts_of_nothing", judged=number, cuts=cuts, count=len(names))
            yield self._item(LOOK, line, see_the_key, "key", number)

    def _of_class(self, code: str, number: int, people: Sequence[int]) -> Sentence:
        return sentence(code, judged=number, count=len(people), whose=first_of(people))

    def _owners(self, owners: Iterable[Owner]) -> Any:
        return first_of([owner[1] if isinstance(owner, tuple) else owner for owner in owners])

    def _item(self, section: str, line: Sentence, mend: str, address: str, *args: int | str) -> Item:
        return Item(section, line, reverse(address, args=[self._contest.pk, *args]), mend)


def places_with_awards(contest: Contest, result: Result) -> dict[tuple[str, str, str], int]:
    """How many places get an award, by division, list and kind."""
    rows = list(contest.award_lists.values_list("division", "code", "kind", "places"))
    if rows:
        return {(division, code, kind): places for division, code, kind, places in rows}
    most = dict(contest.ribbons.order_by().values_list("result_set__code").annotate(most=Max("place")))
    return {
        (s.division, s.code, kind): most.get(s.division.partition(IN_SET)[2]) or most.get(None) or USUAL_PLACES
        for s in result.standings
        for kind in ("individuals", "teams")
    }


def shared_ranks(rows: Iterable[IndividualRow | TeamRow], most: int) -> Iterator[tuple[int, list[str]]]:
    """The ranks up to `most` that several rows share, with whose rows they are."""
    shared: dict[int, list[str]] = {}
    for row in rows:
        if row.rank <= most:
            shared.setdefault(row.rank, []).append(row.team if isinstance(row, TeamRow) else str(row.number))
    yield from ((rank, whose) for rank, whose in shared.items() if len(whose) > 1)
