"""Every address of the site is asked for by whoever may not know: no answer holds what was planted.

The addresses are read off the site itself, so that none can be forgotten; one with an argument that has no value here
fails until it is given one.
"""

import io
import itertools
import re
import zipfile
from dataclasses import dataclass

import pytest
from django.test import Client

from contest.committee.handing_in import hand_in
from contest.committee.officials import add_official as add_committee_official
from contest.entries.accommodating import Needs, accommodate
from contest.models import Contest, Duty, Helper
from reasons.day.changing import save_room
from reasons.scores.officials import add_official
from scoring.board.awards import ListKey
from scoring.board.queue import queue_lists
from scoring.core.record import Card, Choice, Mark, Part, ReasonsScore
from scoring.models import TakeHomeLink
from scoring.results.critique import release_key
from tests.addresses import addresses, values_of
from tests.factories import ClassFactory, PartFactory
from tests.scoring.results.cast import change_key, ready, release, the_class

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

STRANGER = "a stranger"
EVERYBODY = (STRANGER, *Duty)
LEAVING = ("/leave/", "/sign-out/", "/sign-in/", "/join/")


@dataclass(frozen=True)
class Secret:
    """What was planted, as a pattern; `known` are the duties that cannot be done without it."""

    name: str
    pattern: str
    known: frozenset = frozenset()

    def is_in(self, text):
        """Whether it stands in a text by itself: tokens and digests may hold any digits."""
        return re.search(rf"(?<![\w-])(?:{self.pattern})(?![\w-])", text) is not None


TOTALS = Secret("a total", r"2112|2153\.37|19458|19499\.37")
SECRETS = (
    Secret("an official placing", "4321|4, 3, 2, 1|4 over 3", frozenset({Duty.KEYS})),
    Secret("a cut", "8675", frozenset({Duty.KEYS})),
    Secret("what an official of a committee handed in", "8642"),
    Secret("an official of a committee", "Official105x"),
    Secret("what keeping an animal is worth", "7654|7655", frozenset({Duty.KEYS})),
    Secret("what a contestant needs", "Needs106x"),
    Secret("a class score", "1056|9729"),
    TOTALS,
    Secret("a reasons score", r"41\.37|4137", frozenset({Duty.REASONS})),
    Secret("a team's mark", r"33\.31|3331", frozenset({Duty.REASONS})),
    Secret("a name", r"(?:Given|Family)10[123]x", frozenset({Duty.CHECK_IN, Duty.ANNOUNCER})),
    Secret("a name that the family keeps", r"(?:Given|Family)104x", frozenset({Duty.CHECK_IN})),
)


@pytest.fixture
def contest():
    """Everything is in and nothing released. Names may be shown, but for 104's; a link to take home is made already."""
    contest = ready(
        classes=(
            ClassFactory(official="4321", cuts=(8675, 5, 2), perfect=9731, reasons=("SR",)),
            ClassFactory(number=2, name="Yearling ewes", official="4321", cuts=(8675, 5, 2), perfect=9731),
        ),
        parts=(
            PartFactory(code="ACT", name="Team activity", scope="team"),
            Part("KEEP", "Keep one", ("SR",), 7654, "individual", animals="ABCD", keep=1, values=(7654, 1, 0, 0)),
        ),
        choices=(Choice("KEEP", 101, "", None), Choice("KEEP", 102, "BC", "BC")),
        cards=tuple(
            Card(judged, number, placing, placing)
            for judged in (1, 2)
            for number, placing in {101: "3421", 102: "4312", 103: "4312", 104: "3421"}.items()
        ),
        reasons=tuple(ReasonsScore(1, number, "A", 4137) for number in (101, 102, 103, 104)),
        marks=tuple(Mark("ACT", 3331, division="SR", team=team) for team in ("Barley Hill", "Ötztal")),
    )
    save_room(contest, None, "Room 1", [add_official(contest, "B", "test")], False, "test")
    mary, _joe = (add_committee_official(contest, name, "test") for name in ("Official105x", "Joe"))
    for seat in mary.seats.all():
        hand_in(seat, "4321", (8642, 5, 2), "Mary", by_superintendent=True, reason="for this test")
    for person in contest.contestants.all():
        accommodate(person, Needs(extra_time=50, note="Needs106x"), "test")
    division = contest.divisions.get()
    TakeHomeLink.objects.create(contest=contest, token="t1", team=division.teams.first())
    TakeHomeLink.objects.create(contest=contest, token="t2", contestant=contest.contestants.first())
    return contest


def here(contest):
    """Every address of the site, with each of the values that its arguments can have here."""
    people = contest.contestants
    values = values_of(contest) | {
        "number": [1, 2, 101, 104],  # classes; somebody who may be named, and somebody who may not
        "who": [*people.values_list("pk", flat=True), *(team.pk for team in contest.divisions.get().teams.all())],
    }
    return addresses(values)


def text_of(response):
    """An answer's text with its headers, but for its length; what lies in a zip or a workbook is unpacked."""
    data = response.getvalue() if response.streaming else response.content
    if data[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            data = b"".join(archive.read(name) for name in archive.namelist())
    headers = {name: value for name, value in response.headers.items() if name != "Content-Length"}
    return data.decode("utf-8", "replace") + repr(headers)


@pytest.fixture
def client_of(as_helper):
    names = itertools.count(1)

    def make(contest, who):
        if who == STRANGER:
            return Client()
        joe = contest.committee_officials.get(name="Joe") if who == Duty.COMMITTEE else None
        return as_helper(contest, who, f"Ann {next(names)}", committee_official=joe)

    return make


def leaks(answers, secrets):
    """Which secret stands in which answer."""
    found = []
    for address, response in answers:
        text = text_of(response)
        found += [f"{secret.name} in {address}" for secret in secrets if secret.is_in(text)]
    return found


def got(client, contest):
    """Every page as a browser asks for it, and as one that is open already asks for its live part."""
    for address in here(contest):
        page = client.get(address)
        yield address, page
        if page.status_code == 200:
            yield f"{address}?v=0", client.get(f"{address}?v=0", headers={"HX-Request": "true"})


@pytest.mark.parametrize("who", EVERYBODY)
class TestBeforeARelease:
    def test_no_page_holds_a_secret(self, contest, client_of, who):
        client = client_of(contest, who)
        answers = list(got(client, contest))
        assert sum(response.status_code == 200 for _, response in answers) > 10
        assert leaks(answers, [secret for secret in SECRETS if who not in secret.known]) == []

    def test_no_answer_to_a_form_holds_a_secret(self, contest, client_of, who):
        def posted():
            client = client_of(contest, who)
            for address in list(here(contest)):
                yield address, client.post(address, {}, headers={"Accept": "*/*"})
                if address in LEAVING:
                    client = client_of(contest, who)
            assert who == STRANGER or Helper.objects.get(pk=client.helper.pk).left_at is None

        assert leaks(posted(), [secret for secret in SECRETS if who not in secret.known]) == []


def test_a_key_that_is_shown_for_the_critique_shows_itself_and_nothing_else(contest):
    release_key(the_class(contest, 1), "Sue", "for this test")
    answers = list(got(Client(), again(contest)))
    page, boards = f"/public/{contest.pk}/classes/1/", ("/board/", f"/board/{contest.pk}/")
    keys, others = SECRETS[:2], SECRETS[2:]
    assert len(leaks([(where, answer) for where, answer in answers if where == page], keys)) == len(keys)
    elsewhere = [(where, answer) for where, answer in answers if where.partition("?")[0] not in (page, *boards)]
    assert leaks(elsewhere, SECRETS) == []
    assert leaks([(where, answer) for where, answer in answers if where.startswith(boards)], others) == []


def test_the_same_look_finds_every_secret_where_it_may_stand(contest, superintendent):
    text = "".join(text_of(response) for _, response in got(superintendent, contest))
    assert [secret.name for secret in SECRETS if not secret.is_in(text)] == []


@pytest.mark.parametrize("who", EVERYBODY)
class TestAfterARelease:
    def test_what_changed_since_stands_nowhere_until_it_is_announced(self, contest, client_of, who):
        release(contest)
        change_key(contest, "4321", (6543, 5, 2))
        changed = [
            Secret("a cut", "6543", frozenset({Duty.KEYS})),
            Secret("a score", r"3188|4244|4285\.37"),
        ]
        answers = got(client_of(contest, who), again(contest))
        assert leaks(answers, [secret for secret in changed if who not in secret.known]) == []

    def test_awards_that_are_still_to_be_read_stand_nowhere_but_before_the_announcer(self, contest, client_of, who):
        queue_lists(contest, [ListKey("SR", "overall", "individuals")], 10, "Sue")
        release(again(contest))
        if who != Duty.ANNOUNCER:
            assert leaks(got(client_of(contest, who), again(contest)), [TOTALS]) == []


def test_released_totals_are_found_by_whoever_asks(contest):
    release(contest)
    answers = list(got(Client(), again(contest)))
    text = "".join(text_of(response) for _, response in answers)
    assert TOTALS.is_in(text)
    kept = [secret for secret in SECRETS if secret.name == "a name that the family keeps"]
    assert leaks(answers, kept) == []


def again(contest):
    return Contest.objects.get(pk=contest.pk)
