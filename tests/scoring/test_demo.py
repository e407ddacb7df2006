"""The invented contests of a first start: one is over, and every page of the other shows what it is for."""

from collections import Counter
from datetime import datetime, timedelta

import pytest
import time_machine
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from contest.book import read_book, write_book
from contest.demo import DEMO_DAY_BOOK
from contest.entries.arrivals import came_unnoticed, missing
from contest.models import Contest, Duty
from contest.watch import doubts
from contest.watch.finding import doubts_of
from contest.watch.key_pages import key_rows
from reasons.models import PairNote, Slot
from scoring.announced.released import released
from scoring.core.tally import tally
from scoring.demo.day import JUDGED_FOR, _begins
from tests.make_demo_day import demo_day
from tests.pages import html_in


def test_the_script_makes_the_committed_book_to_the_byte(tmp_path):
    write_book(demo_day(), tmp_path)
    names = sorted(path.name for path in DEMO_DAY_BOOK.iterdir())
    assert names == sorted(path.name for path in tmp_path.iterdir())
    for name in names:
        assert (tmp_path / name).read_bytes() == (DEMO_DAY_BOOK / name).read_bytes(), name
    assert tally(read_book(DEMO_DAY_BOOK)) == tally(demo_day())


@pytest.mark.parametrize("at", ["00:00:10", "00:44", "11:41", "22:30", "23:59:59"])
def test_the_reasons_of_the_day_begin_and_end_on_it_whatever_the_time(at):
    now = timezone.make_aware(datetime.fromisoformat(f"2026-10-17T{at}"))
    begins = _begins(now)
    assert begins.date() == now.date() == (begins + timedelta(minutes=110)).date()
    assert begins <= now
    if at == "11:41":
        assert begins.strftime("%H:%M") == "11:00"
        assert now - begins - JUDGED_FOR < timedelta(minutes=5)


@pytest.mark.django_db
@time_machine.travel("2026-10-17T11:41:00+00:00")
def test_one_contest_is_over_and_the_other_in_the_middle_of_its_day(superintendent, as_helper):
    call_command("load_demo", verbosity=0)
    over, day = Contest.objects.order_by("pk")

    assert over.releases.filter(withdrawn_at=None).count() == 2
    assert released(over).corrected
    assert doubts_of(over) == []
    assert over.protest_window.closed_at is not None

    assert day.held_on == timezone.localdate()
    of_parts_with_a_key_alone = {"odd", "unclear", "wrong-part"}
    assert {doubt.kind for doubt in doubts_of(day)} == set(doubts.TITLES) - of_parts_with_a_key_alone
    assert {doubt.about for doubt in doubts_of(day)} == {"card", "reasons", "mark"}
    assert Counter(row.state for row in key_rows(day, "superintendent")) == {
        "confirmed": 3,
        "typed once": 1,
        "two entries differ": 1,
        "waiting": 1,
    }
    assert set(Slot.objects.filter(room__contest=day).values_list("state", flat=True)) == set(Slot.State.values)
    assert missing(day).count() == 3
    assert len(came_unnoticed(day)) == 1
    assert PairNote.objects.filter(judging_class__contest=day).count() == 3
    assert day.helpers.exclude(claims=None).count() == 2
    assert day.award_lists.exists()

    for name, shown in {
        "contest": "two entries differ",
        "progress": "doubtful",
        "doubts": "Nobody has number 251",
        "reasons": "sets heard",
        "reasons-hall": "minutes late",
        "reasons-fairness": "Ms. Quoyle",
        "reasons-notes": "Depth of body",
        "scores": "Mrs. Tarnwick",
        "helpers": "class 4, group A",
        "check-in-missing": "108",
        "announcer": "Senior, Overall, teams",
        "results": "Blocks the release",
        "trail": "superintendent",
    }.items():
        assert shown in html_in(superintendent.get(reverse(name, args=[day.pk]))), name
    assert "added up again" in html_in(superintendent.get(reverse("results", args=[over.pk])))
    assert as_helper(day, Duty.TABULATOR).get(reverse("desk", args=[day.pk])).status_code == 200
