from uuid import uuid4

import pytest

from contest.access import OUT_HEADER
from contest.models import Contestant, Duty, MarkReading, ReasonsOfficial, ReasonsReading
from reasons.scores.officials import add_official
from tests.figures import stands_in
from tests.pages import html_in
from tests.reasons.cast import contest_with_reasons, person, reasons_sheet, team
from tests.slips import decide_reasons, read_reasons
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def contest():
    return contest_with_reasons()


@pytest.fixture
def official(contest):
    return add_official(contest, "Mr. Brook", "test")


@pytest.fixture
def ann(as_helper, contest):
    return as_helper(contest, Duty.REASONS, "Ann")


@pytest.fixture
def ben(as_helper, contest):
    return as_helper(contest, Duty.REASONS, "Ben")


def start(contest):
    return f"/contests/{contest.pk}/scores/"


def sheet(contest, official):
    return f"{start(contest)}reasons/3/{official.pk}/"


def send(client, address, of=101, points="43", by="Ann", submission=None):
    body = {"submission": str(submission or uuid4()), "by": by, "of": of, "points": points}
    return client.post(address + "readings/", body, content_type="application/json")


def take_back(client, contest, reading, by="Ann", submission=None):
    body = {"submission": str(submission or uuid4()), "by": by}
    return client.post(f"{start(contest)}readings/{reading}/take-back/", body, content_type="application/json")


def addresses(contest, official):
    yield from (start(contest), sheet(contest, official), f"{sheet(contest, official)}expected/")
    yield from (f"{start(contest)}marks/{code}/{what}" for code in ("QUEST", "TEAM") for what in ("", "expected/"))
    yield f"{start(contest)}hello/"


# Who may


def test_a_reasons_helper_and_the_superintendent_open_every_page(contest, official, ann, superintendent):
    for address in addresses(contest, official):
        assert ann.get(address).status_code == 200, address
        assert superintendent.get(address).status_code == 200, address


@pytest.mark.parametrize("duty", [duty for duty in Duty if duty != Duty.REASONS])
def test_helpers_of_other_duties_open_none(contest, official, as_helper, duty):
    client = as_helper(contest, duty, "Oda")
    for address in addresses(contest, official):
        assert client.get(address).status_code == 404, address
    assert send(client, sheet(contest, official), by="Oda").status_code == 404
    assert not ReasonsReading.objects.exists()


def test_a_helper_of_another_contest_opens_none(contest, official, as_helper):
    client = as_helper(contest_with_reasons(), Duty.REASONS, "Oda")
    for address in addresses(contest, official):
        assert client.get(address).status_code == 404, address
    assert send(client, sheet(contest, official), by="Oda").status_code == 404


def test_a_stranger_is_led_to_the_join_page(client, contest, official):
    assert client.get(start(contest)).status_code == 302
    sent = client.post(
        sheet(contest, official) + "readings/", {}, "application/json", headers={"accept": "application/json"}
    )
    assert (sent.status_code, sent.headers[OUT_HEADER]) == (401, "1")


@pytest.mark.parametrize("what", ["reasons/9/1/", "reasons/4/1/", "reasons/3/99999/", "marks/NONE/", "reasons/9/"])
def test_what_is_not_there_is_not_found(contest, official, superintendent, what):
    assert superintendent.get(start(contest) + what).status_code == 404


def test_an_official_of_another_contest_is_not_found(contest, ann):
    other = add_official(contest_with_reasons(), "Ms. Alder", "test")
    assert ann.get(sheet(contest, other)).status_code == 404
    assert send(ann, sheet(contest, other)).status_code == 422


def test_what_changes_something_is_never_a_get(contest, official, ann):
    for what in (
        "officials/",
        f"officials/{official.pk}/remove/",
        f"readings/{uuid4()}/take-back/",
        "marks/QUEST/readings/",
    ):
        assert ann.get(start(contest) + what).status_code == 405
    assert ann.get(sheet(contest, official) + "readings/").status_code == 405
    assert ann.post(start(contest)).status_code == 405


# Readings


def test_a_reading_is_saved_and_a_second_one_settles(contest, official, ann, ben):
    reply = send(ann, sheet(contest, official), points="43.5")
    assert (reply.status_code, reply.json()["kind"]) == (200, "saved")
    assert send(ben, sheet(contest, official), points="43,5", by="Ben").json()["kind"] == "settled"
    assert list(ReasonsReading.objects.values_list("hundredths", "by", "helper__name")) == [
        (4350, "Ann", "Ann"),
        (4350, "Ben", "Ben"),
    ]


def test_a_difference_is_told_without_the_other_reading(contest, official, ann, ben):
    send(ann, sheet(contest, official), points="41.75")
    reply = send(ben, sheet(contest, official), points="34", by="Ben")
    assert reply.json()["kind"] == "differs"
    assert "41" not in html_in(reply).replace(str(reply.json()["reading"]), "")


def test_no_score_is_read_like_a_score(contest, official, ann, ben):
    assert send(ann, sheet(contest, official), points="none").json()["kind"] == "saved"
    assert send(ben, sheet(contest, official), points="none", by="Ben").json()["kind"] == "settled"
    assert ReasonsReading.objects.filter(hundredths=None).count() == 2
    assert ann.get(sheet(contest, official)).context["page"]["recent"][0]["gave"] == "no score"


def test_no_score_is_saved_without_script(contest, official, ann):
    fields = {"submission": uuid4(), "number": 101, "points": ["", "none"]}  # the button beside the empty field
    assert ann.post(sheet(contest, official), fields).status_code == 302
    assert ReasonsReading.objects.get().hundredths is None


def test_marks_of_contestants_and_teams(contest, ann):
    assert send(ann, f"{start(contest)}marks/QUEST/").json()["kind"] == "saved"
    barley = team(contest)
    assert send(ann, f"{start(contest)}marks/TEAM/", of=barley.pk, points="88.25").json()["kind"] == "saved"
    assert list(MarkReading.objects.values_list("contestant__number", "team__name", "hundredths")) == [
        (101, None, 4300),
        (None, "Barley Hill", 8825),
    ]


@pytest.mark.parametrize(
    ("sent", "why"),
    [
        ({"points": "50.5"}, "0 to 50 points"),
        ({"points": "4.333"}, "two decimals"),
        ({"points": "many"}, "not a number of points"),
        ({"points": ""}, "required"),
        ({"of": 999}, "nobody has number 999"),
        ({"of": 201}, "gives no reasons"),
        ({"of": 10**12}, "of:"),
        ({"of": "x"}, "of:"),
        ({"submission": "x"}, "submission:"),
    ],
)
def test_a_wrong_reading_is_refused_in_words_and_not_kept(contest, official, ann, sent, why):
    reply = send(ann, sheet(contest, official), **sent)
    assert reply.status_code == 422
    assert reply.json()["kind"] == "refused"
    assert why in reply.json()["text"]
    assert not ReasonsReading.objects.exists()


@pytest.mark.parametrize("body", ["", "[]", "{", '"x"'])
def test_what_is_no_reading_at_all_is_refused(contest, official, ann, body):
    reply = ann.post(sheet(contest, official) + "readings/", body, content_type="application/json")
    assert (reply.status_code, reply.json()["kind"]) == (422, "refused")


def test_a_reading_for_what_is_gone_is_refused_in_words_so_that_no_device_keeps_sending(contest, official, ann):
    address = sheet(contest, official)
    official.delete()
    reply = send(ann, address)
    assert reply.status_code == 422
    assert "not in this contest any more" in reply.json()["text"]


def test_the_same_submission_twice_is_one_reading_and_with_another_body_none(contest, official, ann):
    submission = uuid4()
    first = send(ann, sheet(contest, official), submission=submission)
    assert send(ann, sheet(contest, official), submission=submission).json() == first.json()
    assert send(ann, sheet(contest, official), points="44", submission=submission).status_code == 422
    assert ReasonsReading.objects.count() == 1


def test_what_one_helper_read_is_never_saved_as_anothers(contest, official, ann):
    reply = send(ann, sheet(contest, official), by="Ben")
    assert (reply.status_code, reply.headers[OUT_HEADER]) == (401, "1")
    assert not ReasonsReading.objects.exists()


def test_the_superintendent_reads_too(contest, official, superintendent):
    assert send(superintendent, sheet(contest, official), by="superintendent").json()["kind"] == "saved"
    assert ReasonsReading.objects.get().helper is None


# Taking back


def test_a_reading_is_taken_back_by_the_submission_it_came_with(contest, official, ann):
    submission, again = uuid4(), uuid4()
    send(ann, sheet(contest, official), submission=submission)
    assert take_back(ann, contest, submission, submission=again).json()["kind"] == "taken-back"
    assert take_back(ann, contest, submission, submission=again).json()["kind"] == "taken-back"
    assert take_back(ann, contest, submission).status_code == 422
    assert ReasonsReading.objects.get().withdrawn_by == "Ann"


def test_a_mark_is_taken_back_the_same_way(contest, ann):
    submission = uuid4()
    send(ann, f"{start(contest)}marks/QUEST/", submission=submission)
    assert take_back(ann, contest, submission).json()["kind"] == "taken-back"
    assert MarkReading.objects.get().withdrawn_by == "Ann"


def test_what_cannot_be_taken_back_is_said(contest, official, ann, ben):
    submission = uuid4()
    send(ann, sheet(contest, official), submission=submission)
    assert "only whoever read" in take_back(ben, contest, submission, by="Ben").json()["text"]
    assert take_back(ann, contest, submission, by="Ben").status_code == 401
    send(ben, sheet(contest, official), by="Ben")
    assert "settled" in take_back(ann, contest, submission).json()["text"]
    assert "never arrived" in take_back(ann, contest, uuid4()).json()["text"]
    assert ann.post(f"{start(contest)}readings/{submission}/take-back/", "{}", "application/json").status_code == 422


def test_a_reading_of_another_contest_cannot_be_taken_back(contest, ann, as_helper):
    other = contest_with_reasons()
    submission = uuid4()
    send(as_helper(other, Duty.REASONS, "Ann"), f"{start(other)}marks/QUEST/", submission=submission)
    assert "never arrived" in take_back(ann, contest, submission).json()["text"]


# What is shown


def test_a_second_reading_is_blind(contest, official, ann, ben):
    read_reasons(reasons_sheet(contest).judging_class, official, person(contest), 4175, "Ann")
    read_reasons(
        reasons_sheet(contest).judging_class, add_official(contest, "Ms. Alder", "x"), person(contest), 3825, "Ann"
    )
    for address in addresses(contest, official):
        content = html_in(ben.get(address))
        assert "41.75" not in content, address
        assert "38.25" not in content, address
    assert "41.75" in html_in(ann.get(sheet(contest, official)))  # her own, among the last ten


def test_no_page_names_a_contestant_or_shows_a_key_or_a_placing(contest, official, ann):
    first_name = person(contest).first_name
    assert first_name
    for address in addresses(contest, official):
        content = html_in(ann.get(address))
        assert first_name not in content, address
        assert not stands_in(content, "3124"), address
        assert "tandings" not in content, address


def test_what_is_expected_shrinks_as_it_is_read(contest, official, ann):
    address = f"{sheet(contest, official)}expected/"
    reply = ann.get(address).json()
    assert reply["numbers"] == [101, 102, 103]
    assert ann.get(address, {"group": "B"}).json()["numbers"] == [103]
    assert ann.get(address, {"v": reply["version"]}).status_code == 204
    send(ann, sheet(contest, official))
    assert ann.get(address, {"v": reply["version"]}).json()["numbers"] == [102, 103]


def test_expected_teams_are_named_by_their_key(contest, ann):
    address = f"{start(contest)}marks/TEAM/"
    send(ann, address, of=team(contest).pk)
    left = [team(contest, "Copper Run").pk, team(contest, "Little Elms").pk]
    assert ann.get(f"{address}expected/").json()["numbers"] == left


def test_the_lists_are_sent_again_only_when_something_changed(contest, official, ann):
    page = ann.get(start(contest))
    version = page.context["revision"]
    assert ann.get(start(contest), {"v": version}, headers={"hx-request": "true"}).status_code == 204
    send(ann, sheet(contest, official))
    part = ann.get(start(contest), {"v": version}, headers={"hx-request": "true"})
    assert part.status_code == 200
    assert "<html" not in html_in(part)
    assert "1 of 3 read" in html_in(part)


def test_hello_says_whose_shelf_it_is(contest, ann, superintendent):
    ours, theirs = ann.get(f"{start(contest)}hello/").json(), superintendent.get(f"{start(contest)}hello/").json()
    assert ours["desk"].endswith("-ann scores")
    assert theirs["desk"].endswith("-superintendent")


# Officials


def test_an_official_is_added_by_name(contest, ann):
    assert ann.post(f"{start(contest)}officials/", {"submission": uuid4(), "name": "Ms. Alder"}).status_code == 302
    assert "Ms. Alder" in html_in(ann.get(start(contest)))
    assert last_of(contest).by == "Ann"


@pytest.mark.parametrize("name", ["", "   ", "x" * 201])
def test_a_name_that_will_not_do_is_refused_beside_what_was_typed(contest, ann, name):
    reply = ann.post(f"{start(contest)}officials/", {"submission": uuid4(), "name": name})
    assert reply.status_code == 422
    assert 'aria-invalid="true"' in html_in(reply)
    assert name.strip() in html_in(reply)
    assert not ReasonsOfficial.objects.exists()


def test_an_official_is_removed_until_something_of_theirs_was_read(contest, official, ann):
    address = f"{start(contest)}officials/{official.pk}/remove/"
    assert address in html_in(ann.get(start(contest)))
    send(ann, sheet(contest, official))
    assert address not in html_in(ann.get(start(contest)))
    refused = ann.post(address, {"submission": uuid4()})
    assert refused.status_code == 409
    assert "they stay" in html_in(refused)
    other = add_official(contest, "Ms. Alder", "test")
    again = {"submission": uuid4()}
    for _ in range(2):
        assert ann.post(f"{start(contest)}officials/{other.pk}/remove/", again).status_code == 302
    assert list(ReasonsOfficial.objects.all()) == [official]


# Without script


def test_without_script_a_form_enters_scores_one_by_one(contest, official, ann):
    address = sheet(contest, official)
    assert 'name="number" inputmode="numeric" autocomplete="off" value="101"' in html_in(ann.get(address))
    form = {"submission": uuid4(), "number": "101", "points": "43.5"}
    for _ in range(2):
        assert ann.post(address, form).status_code == 302
    assert ReasonsReading.objects.get().hundredths == 4350
    assert 'value="102"' in html_in(ann.get(address))


def test_without_script_a_very_low_score_is_saved_the_second_time(contest, official, ann):
    form = {"submission": uuid4(), "number": "101", "points": "4.5"}
    asked = ann.post(sheet(contest, official), form)
    assert asked.status_code == 422
    assert "that is very low" in html_in(asked)
    assert 'name="sure" value="4.5"' in html_in(asked)
    assert ann.post(sheet(contest, official), {**form, "points": "3.5", "sure": "4.5"}).status_code == 422
    assert not ReasonsReading.objects.exists()
    assert ann.post(sheet(contest, official), {**form, "sure": "4.5"}).status_code == 302
    assert ReasonsReading.objects.get().hundredths == 450


def test_without_script_the_group_is_kept(contest, official, ann):
    reply = ann.post(sheet(contest, official) + "?group=B", {"submission": uuid4(), "number": "103", "points": "43"})
    assert reply.url == sheet(contest, official) + "?group=B"


def test_without_script_teams_are_chosen_by_name(contest, ann):
    address = f"{start(contest)}marks/TEAM/"
    assert "Copper Run, Senior" in html_in(ann.get(address))
    ann.post(address, {"submission": uuid4(), "number": "2", "points": "77"})
    assert MarkReading.objects.get().team.name == "Copper Run"
    assert ann.post(address, {"submission": uuid4(), "number": "9", "points": "77"}).status_code == 422


@pytest.mark.parametrize(
    ("sent", "why"),
    [
        ({"points": "50.5"}, "0 to 50 points"),
        ({"points": ""}, "Type the score"),
        ({"number": ""}, "Whose score"),
        ({"number": "999"}, "nobody has number 999"),
    ],
)
def test_without_script_a_mistake_is_said_beside_what_was_typed(contest, official, ann, sent, why):
    form = {"submission": str(uuid4()), "number": "101", "points": "43", **sent}
    reply = ann.post(sheet(contest, official), form)
    content = html_in(reply)
    assert reply.status_code == 422
    assert why in content
    for name in ("number", "points", "submission"):
        assert f'value="{form[name]}"' in content
    assert not ReasonsReading.objects.exists()


def test_without_script_a_submission_used_for_something_else_is_refused(contest, official, ann):
    form = {"submission": uuid4(), "number": "101", "points": "43"}
    ann.post(sheet(contest, official), form)
    assert ann.post(sheet(contest, official), {**form, "points": "34"}).status_code == 422
    assert ReasonsReading.objects.get().hundredths == 4300


# The check against the slips


def test_the_superintendent_checks_a_class_against_the_slips(contest, official, superintendent):
    judged = reasons_sheet(contest).judging_class
    read_reasons(judged, official, person(contest), 4175, "Ann")
    read_reasons(judged, official, person(contest), 4225, "Ben")
    decide_reasons(judged, official, person(contest, 102), 3650, "boss", "read it")
    Contestant.objects.filter(number=103).update(ineligible=True, ineligible_reason="too old")
    content = html_in(superintendent.get(f"{start(contest)}reasons/3/"))
    for shown in ("41.75", "42.25", "doubtful", "36.5", "settled", "ineligible", "Mr. Brook"):
        assert shown in content, shown
    assert "too old" not in content
    assert "<td><b>78.25</b> of 2 scores</td>" in content


def test_nobody_else_sees_the_check(contest, official, ann):
    assert ann.get(f"{start(contest)}reasons/3/").status_code == 404
    assert f'href="{start(contest)}reasons/3/"' not in html_in(ann.get(start(contest)))


def test_the_check_says_when_there_is_nothing_yet(contest, superintendent):
    assert "No score of this class" in html_in(superintendent.get(f"{start(contest)}reasons/3/"))


def test_without_officials_or_classes_the_page_says_what_to_do(contest, ann):
    assert "Add whoever hears reasons" in html_in(ann.get(start(contest)))
