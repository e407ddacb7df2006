"""What reads the clock on the wall is right at the times when clocks are odd; `--at` runs any test then."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.utils import timezone

from contest.changes.exceptions import NotPossible
from contest.entries.arrivals import check_in
from reasons.day.hours import minute_now, minute_of, moment
from scoring.results.forms import WindowForm, first_deadline
from tests.factories import a_contest

ZONE = "America/Chicago"
ODD = [
    "2026-11-28T11:41:41",
    "2026-11-28T23:59:59",
    "2026-11-29T00:00:00",
    "2026-11-30T23:45:00",
    "2026-12-31T23:31:00",
    "2028-02-29T12:00:00",
    "2026-03-08T01:40:00",  # clocks go from 2:00 to 3:00
    "2026-11-01T00:40:00",  # and from 2:00 back to 1:00
    "2026-11-01T01:20:00",
]


@pytest.fixture(params=ODD)
def now(request, settings):
    settings.TIME_ZONE = ZONE
    at = datetime.fromisoformat(request.param).replace(tzinfo=ZoneInfo(ZONE))
    with time_machine.travel(at, tick=False):
        yield at


def test_the_deadline_that_is_offered_is_one_that_is_taken(now):
    form = WindowForm({"deadline": first_deadline()})
    assert form.is_valid(), form.errors
    minutes = (form.cleaned_data["deadline"] - timezone.now()).total_seconds() / 60
    assert 30 <= minutes < 35 or (now.date().isoformat() == "2026-11-01" and 30 <= minutes < 155)


@pytest.mark.django_db
def test_who_arrives_is_in_since_that_minute(now):
    someone = a_contest().contestants.first()
    check_in(someone, "Ann")
    with pytest.raises(NotPossible, match=f"since {now:%H:%M}"):
        check_in(someone, "Ann")


@pytest.mark.django_db
def test_the_minute_it_is_is_known_on_the_contests_own_day_alone(now):
    contest = a_contest()
    contest.held_on = now.date()
    assert minute_now(contest) == now.hour * 60 + now.minute
    contest.held_on = now.date().replace(year=now.year + 1, day=1)
    assert minute_now(contest) is None
    assert minute_of(contest, moment(contest, 1439)) == 1439
