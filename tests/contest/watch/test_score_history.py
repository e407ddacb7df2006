"""All about one reasons score or mark: what was read of it, and moving, setting aside and deciding."""

import pytest

from contest.models import Duty, Mark, MarkReading, ReasonsReading, ReasonsScore
from contest.slips.reading import take_back
from contest.watch.finding import doubts_of
from reasons.scores.officials import add_official
from tests.contest.watch.cast import sent
from tests.reasons.cast import contest_with_reasons, person, team
from tests.slips import decide_mark, read_mark, read_reasons
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return contest_with_reasons()


@pytest.fixture
def official(contest):
    return add_official(contest, "Mr. Brook", "test")


@pytest.fixture
def start(contest):
    return f"/contests/{contest.pk}/watch/"


@pytest.fixture
def slip(contest, official):
    """Where all about the reasons of 101 on class 3 by Mr. Brook stands."""
    return f"/contests/{contest.pk}/watch/reasons/3/{official.pk}/101/"


def reasons(contest, official, points, by="Ann", number=101):
    read_reasons(contest.classes.get(number=3), official, person(contest, number), points, by)
    return ReasonsReading.objects.latest("pk")


def questions(contest):
    return contest.parts.get(code="QUEST")


def activity(contest):
    return contest.parts.get(code="TEAM")


def test_every_reading_ever_made_stands_on_the_page(superintendent, contest, official, slip):
    take_back(reasons(contest, official, 4125), "Ann")
    reasons(contest, official, 4175, "Ben")
    reasons(contest, official, None, "Cy")
    text = superintendent.get(slip).content.decode()
    for words in ("41.25", "41.75", "no score", "Ann", "Ben", "Cy", "withdrawn", "doubtful", "Mr. Brook"):
        assert words in text
    assert person(contest).last_name not in text  # numbers are enough


@pytest.mark.parametrize("of_team", [False, True])
def test_a_mark_has_its_page_too(superintendent, contest, start, of_team):
    part, owner = (activity(contest), team(contest)) if of_team else (questions(contest), person(contest))
    read_mark(part, owner, 4725, "Ann")
    decide_mark(part, owner, 4775, "Sue", "asked")
    text = superintendent.get(f"{start}marks/{part.pk}/{f'teams/{owner.pk}' if of_team else owner.number}/").content
    for words in ("47.25", "47.75", "asked", "settled", "Team Barley Hill" if of_team else "Contestant 101"):
        assert words in text.decode()


def test_a_score_that_nobody_has_read_can_be_decided(superintendent, contest, slip):
    assert "Nobody has read a slip of this." in superintendent.get(slip).content.decode()
    fields = sent(counts="n", shown="", quick="asked the official", back="card")
    assert superintendent.post(f"{slip}decide/", fields).headers["Location"].startswith(f"{slip}?did=")
    assert ReasonsScore.objects.values_list("hundredths", "state").get() == (None, "settled")


def test_a_reading_is_set_aside_for_a_reason_and_stays_in_sight(superintendent, contest, official, start, slip):
    reading = reasons(contest, official, 4125)
    fields = sent(act="set-aside", number="101", class_number="3", quick="read by mistake")
    response = superintendent.post(f"{start}readings/reasons/{reading.pk}/", fields)
    assert response.headers["Location"].startswith(f"{slip}?did=")
    assert not ReasonsScore.objects.exists()
    text = superintendent.get(slip).content.decode()
    assert "41.25" in text and "read by mistake" in text
    entry = last_of(contest)
    assert entry.what.endswith("reading withdrawn")
    assert entry.after == {"reason": "read by mistake"}


def test_a_reading_is_moved_to_another_number_class_and_official(superintendent, contest, official, start):
    alder = add_official(contest, "Ms. Alder", "test")
    reading = reasons(contest, official, 4125)
    fields = sent(act="move", number="102", class_number="3", official=alder.pk, quick="read on the wrong sheet")
    response = superintendent.post(f"{start}readings/reasons/{reading.pk}/", fields)
    assert response.headers["Location"].startswith(f"{start}reasons/3/{alder.pk}/102/?did=")
    score = ReasonsScore.objects.get()
    assert (score.contestant.number, score.official, score.hundredths) == (102, alder, 4125)
    assert ReasonsReading.objects.latest("pk").by == "Ann"  # it is still hers, so that somebody else reads it again


def test_a_mark_is_moved_to_another_contestant_or_team(superintendent, contest, start):
    read_mark(questions(contest), person(contest), 4725, "Ann")
    mark = MarkReading.objects.latest("pk")
    superintendent.post(f"{start}readings/mark/{mark.pk}/", sent(act="move", number="102", quick="read by mistake"))
    assert Mark.objects.get().contestant.number == 102
    read_mark(activity(contest), team(contest), 8800, "Ann")
    mark = MarkReading.objects.latest("pk")
    other = team(contest, "Copper Run")
    superintendent.post(f"{start}readings/mark/{mark.pk}/", sent(act="move", team=other.pk, quick="read by mistake"))
    assert Mark.objects.get(team__isnull=False).team == other


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"number": "", "class_number": "3"}, "say whose score it is"),
        ({"number": "999", "class_number": "3"}, "there is no contestant 999"),
        ({"number": "101", "class_number": "77"}, "there is no class 77"),
        ({"number": "201", "class_number": "3"}, "201 gives no reasons on class 3"),
        ({"number": "1o1", "class_number": "3"}, "Enter a whole number."),
    ],
)
def test_a_move_to_nowhere_is_refused_beside_the_field(superintendent, contest, official, start, fields, says):
    reading = reasons(contest, official, 4125)
    fields = {"act": "move", "back": "card", "quick": "read by mistake", **fields}
    response = superintendent.post(f"{start}readings/reasons/{reading.pk}/", sent(**fields))
    assert response.status_code == 422
    text = response.content.decode()
    assert says in text
    assert f'value="{fields["number"]}"' in text or not fields["number"]
    assert ReasonsScore.objects.get().contestant.number == 101


def test_a_reading_that_somebody_dealt_with_meanwhile_is_left_alone(superintendent, contest, official, start):
    reading = reasons(contest, official, 4125)
    take_back(reading, "Ann")
    address = f"{start}readings/reasons/{reading.pk}/"
    response = superintendent.post(address, sent(act="move", number="102", class_number="3", quick="read by mistake"))
    assert response.status_code == 409
    assert "Ann has dealt with this reading meanwhile" in response.content.decode()


def test_a_decision_from_the_page_goes_back_to_it_and_a_wrong_one_stays(superintendent, contest, official, slip):
    reasons(contest, official, 4125)
    reasons(contest, official, 4175, "Ben")
    (doubt,) = doubts_of(contest)
    fields = {"shown": doubt.fingerprint, "back": "card", "quick": "as the slip says"}
    wrong = superintendent.post(f"{slip}decide/", sent(counts="51", **fields))
    assert wrong.status_code == 422
    assert "0 to 50 points" in wrong.content.decode() and 'value="51"' in wrong.content.decode()
    response = superintendent.post(f"{slip}decide/", sent(counts="b", **fields))
    assert response.headers["Location"].startswith(f"{slip}?did=")
    assert ReasonsScore.objects.get().hundredths == 4175


def test_the_check_of_a_class_and_of_a_part_leads_to_each_score(superintendent, contest, official, start, slip):
    reasons(contest, official, None)
    read_mark(questions(contest), person(contest), 4725, "Ann")
    read_mark(activity(contest), team(contest), 8800, "Ann")
    scores = f"/contests/{contest.pk}/scores/"
    checked = superintendent.get(f"{scores}reasons/3/").content.decode()
    assert f'href="{slip}"' in checked and "no score" in checked
    assert (
        f'href="{start}marks/{questions(contest).pk}/101/"'
        in superintendent.get(f"{scores}marks/QUEST/check/").content.decode()
    )
    checked = superintendent.get(f"{scores}marks/TEAM/check/").content.decode()
    assert f'href="{start}marks/{activity(contest).pk}/teams/{team(contest).pk}/"' in checked
    assert "Copper Run" in checked


def test_what_was_decided_last_names_scores_too(superintendent, contest, start):
    decide_mark(questions(contest), person(contest), None, "Sue", "the slip is blank")
    text = superintendent.get(f"{start}doubts/").content.decode()
    assert "the slip is blank" in text and "contestant 101" in text


@pytest.mark.parametrize("address", ["reasons/77/1/101/", "reasons/3/99999/101/", "reasons/3/1/999/"])
def test_what_is_not_there_is_not_found(superintendent, start, official, address):
    assert superintendent.get(start + address.replace("/1/", f"/{official.pk}/")).status_code == 404


def test_a_mark_is_asked_for_by_the_right_kind_of_owner(superintendent, contest, start):
    assert superintendent.get(f"{start}marks/{activity(contest).pk}/101/").status_code == 404
    assert superintendent.get(f"{start}marks/{questions(contest).pk}/teams/{team(contest).pk}/").status_code == 404


@pytest.mark.parametrize("duty", Duty.values)
def test_no_helper_sees_or_decides_any(as_helper, contest, official, start, slip, duty):
    reading = reasons(contest, official, 4125)
    client = as_helper(contest, duty)
    assert client.get(slip).status_code == 404
    assert client.post(f"{slip}decide/", sent(counts="40")).status_code == 404
    assert client.post(f"{start}readings/reasons/{reading.pk}/", sent(act="set-aside")).status_code == 404
