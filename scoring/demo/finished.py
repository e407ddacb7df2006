"""A contest that is over: released, corrected once after a protest, and final."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone

from contest.book import read_book
from contest.changes import changes
from contest.demo import DEMO_BOOK
from contest.models import Card, Contest, Mark, State
from contest.records import save_record
from contest.records.tallying import tallied
from contest.slips.kinds import slip_of
from contest.slips.reading import decide
from scoring.core.record import HUNDREDTHS
from scoring.demo import BOSS
from scoring.results.checklist import checklist
from scoring.results.corrections import unannounced
from scoring.results.protests import close_protests, decide_protest, note_protest, take_protests
from scoring.results.release import announce_correction, release_results


@changes
def finished() -> Contest:
    contest = save_record(read_book(DEMO_BOOK), BOSS)
    for card in Card.objects.filter(judging_class__contest=contest, state=State.DOUBT):
        decide(slip_of(card), card.placing, BOSS, "as the card says")
    contest.refresh_from_db()
    looked_at = {item.key: "looked at with the officials" for item in checklist(contest, tallied(contest))}
    release_results(contest, BOSS, looked_at)
    take_protests(contest, BOSS, timezone.now() + timedelta(minutes=30), "By word of mouth, at the office.")
    protest = note_protest(contest, BOSS, "the coach of Wrenwater", "The fleece table: our sheet was added up wrong.")
    _correct(contest)
    decide_protest(protest, BOSS, "The sheet was added up again: two points more.")
    close_protests(contest, BOSS)
    return contest


def _correct(contest: Contest) -> None:
    of_team = Mark.objects.filter(part__contest=contest, part__code="FLEECE", team__name="Wrenwater")
    mark = of_team.select_related("part", "team").first()
    assert mark is not None and mark.hundredths is not None
    decide(slip_of(mark), mark.hundredths + 2 * HUNDREDTHS, BOSS, "as the slip says")
    contest.refresh_from_db()
    pending = unannounced(contest, tallied(contest))
    assert pending is not None
    announce_correction(contest, BOSS, "the fleece table of one team was added up wrong", pending.fingerprint)
