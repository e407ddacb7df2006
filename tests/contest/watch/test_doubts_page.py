"""The page of doubts, and everything that can be done there."""

import re
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client

from contest.models import Card, Duty, Mark, Reading, ReasonsScore
from contest.slips.reading import set_aside
from contest.watch.finding import doubts_of
from reasons.scores.officials import add_official
from tests.contest.watch.cast import differing, read, sent, small_contest, the_class, the_contestant
from tests.pages import html_in
from tests.slips import decide_card, read_mark, read_reasons

pytestmark = pytest.mark.any_database


@pytest.fixture
def contest(db):
    return small_contest()


@pytest.fixture
def start(contest):
    return f"/contests/{contest.pk}/watch/"


def deciding(contest, **fields):
    """What the form of the first doubt sends."""
    doubt = doubts_of(contest)[0]
    return sent(**({"shown": doubt.fingerprint, "quick": "as the card says", "back": "doubts"} | fields))


def test_an_empty_list_says_that_all_is_well(superintendent, start):
    text = html_in(superintendent.get(f"{start}doubts/"))
    assert "Nothing waits for you" in text


def test_every_kind_stands_on_the_page(superintendent, contest, start):
    differing(contest)
    read(contest, 1, 999, "3124")
    read(contest, 1, 201, "3124")
    read(contest, 1, 104, "3124")
    text = html_in(superintendent.get(f"{start}doubts/"))
    for words in ("Readings differ", "Unknown number", "Wrong class", "Marked absent", "<h1>4 doubts</h1>"):
        assert words in text


@pytest.mark.parametrize("duty", Duty.values)
def test_no_helper_sees_or_decides_any(as_helper, contest, start, duty):
    differing(contest)
    client = as_helper(contest, duty)
    assert client.get(f"{start}doubts/").status_code == 404
    assert client.get(f"{start}doubts/news/").status_code == 404
    assert client.get(f"{start}cards/1/101/").status_code == 404
    assert client.post(f"{start}cards/1/101/decide/", deciding(contest, counts="a")).status_code == 404
    assert client.post(f"{start}readings/card/{Reading.objects.first().pk}/", sent(act="set-aside")).status_code == 404
    assert client.post(f"{start}people/104/", sent(act="present")).status_code == 404
    assert Card.objects.get().state == "doubt"


@pytest.mark.parametrize("page", ["cards/1/101/decide/", "readings/card/1/", "people/101/", "marks/1/101/decide/"])
def test_what_changes_something_cannot_be_had_by_get(superintendent, start, page):
    assert superintendent.get(start + page).status_code == 405


@pytest.mark.parametrize("page", ["doubts/", "doubts/news/", "cards/1/101/"])
def test_what_only_shows_cannot_be_posted_to(superintendent, start, page):
    assert superintendent.post(start + page).status_code == 405


@pytest.mark.parametrize("page", ["cards/9/101/", "cards/9/101/decide/", "readings/card/99/", "people/999/"])
def test_what_is_not_there_is_not_found(superintendent, start, page):
    ask = superintendent.get if page == "cards/9/101/" else superintendent.post
    assert ask(start + page).status_code == 404


@pytest.mark.parametrize(
    ("typed", "placing", "reason"),
    [
        ("a", "3124", "as the card says"),
        ("4321", "4321", "as the card says"),
        ("321_", "3214", "the missing place by elimination"),
        ("u", "unreadable", "the card cannot be read"),
        ("n", "", "no card was handed in"),
    ],
)
def test_a_card_is_decided_for_the_reason_that_fits(superintendent, contest, start, typed, placing, reason):
    differing(contest)
    response = superintendent.post(f"{start}cards/1/101/decide/", deciding(contest, counts=typed))
    assert (response.status_code, response["Location"]) == (302, f"{start}doubts/?did=4-4")
    card = Card.objects.get()
    assert (card.placing, card.state) == (placing, "settled")
    decision = Reading.objects.get(decides=True)
    assert (decision.by, decision.reason) == ("superintendent", reason)


def test_a_button_picks_one_of_the_readings(superintendent, contest, start):
    differing(contest)
    superintendent.post(f"{start}cards/1/101/decide/", deciding(contest, counts="", pick="b"))
    assert Card.objects.get().placing == "3142"


def test_a_reason_in_words_goes_before_the_one_that_was_picked(superintendent, contest, start):
    differing(contest)
    superintendent.post(f"{start}cards/1/101/decide/", deciding(contest, counts="a", reason="  coffee on it "))
    assert Reading.objects.get(decides=True).reason == "coffee on it"


def test_a_repair_keeps_what_is_on_the_card(superintendent, contest, start):
    differing(contest)
    superintendent.post(f"{start}cards/1/101/decide/", deciding(contest, counts="312_"))
    decision = Reading.objects.get(decides=True)
    assert (decision.placing, decision.on_card) == ("3124", "312_")
    assert "On the card: <b>312_</b>" in html_in(superintendent.get(f"{start}cards/1/101/"))


@pytest.mark.parametrize("did", ["", "x", "4", "card:1", "card:99", "mark:1", "2-3", "9-9", "9" * 19 + "-1"])
def test_nothing_is_undone_but_what_was_decided_here(superintendent, contest, start, did):
    differing(contest)
    response = superintendent.post(f"{start}doubts/undo/", sent(did=did))
    assert response.status_code == 409
    assert "stays" in html_in(response)
    assert Reading.objects.filter(withdrawn_at=None).count() == 2
    assert "✓ Done" not in html_in(superintendent.get(f"{start}doubts/", {"did": did}))


def test_what_was_changed_since_is_not_undone(superintendent, contest, start):
    differing(contest)
    response = superintendent.post(f"{start}cards/1/101/decide/", deciding(contest, counts="a"))
    did = response["Location"].partition("did=")[2]
    set_aside(Reading.objects.get(decides=True), "Sue", "a mistake")
    assert superintendent.post(f"{start}doubts/undo/", sent(did=did)).status_code == 409
    page = html_in(superintendent.get(response["Location"]))
    assert "✓ Done" in page
    assert ">Undo<" not in page


@pytest.mark.parametrize("about", ["card", "reasons", "mark"])
def test_a_misread_number_takes_all_readings_to_whose_they_are(superintendent, contest, start, about):
    absent, here = the_contestant(contest, 104), the_contestant(contest, 103)
    official = add_official(contest, "A", "Sue")
    for by in ("Ann", "Ben"):
        if about == "card":
            read(contest, 1, 104, "3124", by)
        elif about == "reasons":
            read_reasons(the_class(contest, 2), official, absent, 4000, by)
        else:
            read_mark(contest.parts.get(), absent, 4000, by)
    (doubt,) = doubts_of(contest)
    fields = sent(act="move", number="", quick="the number was misread", shown=doubt.fingerprint, back="doubts")
    address = doubt.place.address(contest) + "misread/"
    assert "say whose" in html_in(superintendent.post(address, fields))
    assert "there is no contestant 999" in html_in(superintendent.post(address, sent(**fields | {"number": "999"})))
    superintendent.post(address, sent(**fields | {"number": "103"}))
    assert doubts_of(contest) == []
    (result,) = [*Card.objects.all(), *ReasonsScore.objects.all(), *Mark.objects.all()]
    assert (result.contestant, result.state) == (here, "settled")
    assert not the_contestant(contest, 104).present


def test_a_number_is_not_called_misread_on_less_than_was_read_by_then(superintendent, contest, start):
    read(contest, 1, 104, "3124", "Ann")
    (doubt,) = doubts_of(contest)
    fields = {"act": "set-aside", "quick": "read by mistake", "shown": doubt.fingerprint, "back": "doubts"}
    read(contest, 1, 104, "3142", "Ben")
    response = superintendent.post(f"{start}cards/1/104/misread/", sent(**fields))
    assert response.status_code == 409
    assert "Somebody read or decided this meanwhile." in html_in(response)
    assert Reading.objects.filter(withdrawn_at=None).count() == 2


def test_after_a_decision_the_next_doubt_has_the_focus(superintendent, contest, start):
    for number in (101, 102, 103):
        differing(contest, number=number)
    first, second, _third = doubts_of(contest)
    text = html_in(superintendent.get(f"{start}doubts/"))
    assert f'name="next" value="{second.key}"' in text
    response = superintendent.post(
        f"{start}cards/1/101/decide/", deciding(contest, counts="a", next=second.key), follow=True
    )
    text = html_in(response)
    assert f'id="{first.key}"' not in text
    assert text.count("autofocus") == 1
    assert text.index(f'id="{second.key}"') < text.index("autofocus") < text.index(f'id="{_third.key}"')


@pytest.mark.parametrize(
    ("typed", "says"), [("", "type what counts"), ("3122", "more than once"), ("c", "no reading C")]
)
def test_a_decision_that_says_nothing_is_refused_beside_the_field(superintendent, contest, start, typed, says):
    differing(contest)
    fields = deciding(contest, counts=typed, reason="because of this", on_card="3_?")
    response = superintendent.post(f"{start}cards/1/101/decide/", fields)
    text = html_in(response)
    assert response.status_code == 422
    assert says in text
    for kept in (f'value="{typed}"', "because of this", "3_?", 'aria-invalid="true"'):
        assert kept in text
    assert Card.objects.get().state == "doubt"


def test_a_decision_on_less_than_there_is_by_then_shows_theirs_and_yours(superintendent, contest, start):
    differing(contest)
    fields = deciding(contest, counts="a", reason="my reason")
    decide_card(the_class(contest), the_contestant(contest, 101), "3142", "Sue", "asked the contestant")
    response = superintendent.post(f"{start}cards/1/101/decide/", fields)
    text = html_in(response)
    assert response.status_code == 409
    assert "decided by <bdi>Sue</bdi>" in text
    assert "asked the contestant" in text
    assert 'value="a"' in text
    assert "my reason" in text
    assert Card.objects.get().placing == "3142"
    assert Reading.objects.count() == 3


def test_after_a_conflict_the_same_can_be_sent_again_and_then_counts(superintendent, contest, start):
    differing(contest)
    fields = deciding(contest, counts="a")
    read(contest, 1, 101, "4321", "Cy")
    assert superintendent.post(f"{start}cards/1/101/decide/", fields).status_code == 409
    again = deciding(contest, counts="a")
    assert again["shown"] != fields["shown"]
    assert superintendent.post(f"{start}cards/1/101/decide/", again).status_code == 302
    assert Card.objects.get().placing == "3124"


def test_the_same_submission_twice_is_one_decision(superintendent, contest, start):
    differing(contest)
    fields = deciding(contest, counts="a")
    for _ in range(2):
        assert superintendent.post(f"{start}cards/1/101/decide/", fields).status_code == 302
    assert Reading.objects.filter(decides=True).count() == 1


def test_the_same_submission_with_something_else_in_it_is_refused(superintendent, contest, start):
    differing(contest)
    fields = deciding(contest, counts="a")
    superintendent.post(f"{start}cards/1/101/decide/", fields)
    response = superintendent.post(f"{start}cards/1/101/decide/", {**fields, "counts": "b", "back": "card"})
    assert response.status_code == 422
    assert Card.objects.get().placing == "3124"


def test_a_form_without_its_submission_id_is_no_form_of_ours(superintendent, contest, start):
    differing(contest)
    fields = deciding(contest, counts="a")
    del fields["submission"]
    assert superintendent.post(f"{start}cards/1/101/decide/", fields).status_code == 400


def test_a_stray_reading_is_moved_to_whose_it_is(superintendent, contest, start):
    read(contest, 1, 999, "3124", "Ann")
    stray = Reading.objects.get()
    fields = sent(act="move", number="102", class_number="2", quick="the number was misread", back="doubts")
    assert superintendent.post(f"{start}readings/card/{stray.pk}/", fields).status_code == 302
    card = Card.objects.get()
    assert (card.judging_class.number, card.contestant.number, card.placing) == (2, 102, "3124")
    stray.refresh_from_db()
    assert (stray.withdrawn_by, stray.withdrawn_reason) == ("superintendent", "the number was misread")
    assert Reading.objects.get(withdrawn_at=None).by == "Ann"


def test_a_stray_reading_is_set_aside_and_kept(superintendent, contest, start):
    read(contest, 1, 201, "3124")
    stray = Reading.objects.get()
    fields = sent(act="set-aside", quick="read by mistake", back="doubts")
    assert superintendent.post(f"{start}readings/card/{stray.pk}/", fields).status_code == 302
    assert doubts_of(contest) == []
    text = html_in(superintendent.get(f"{start}cards/1/201/"))
    assert "withdrawn" in text
    assert "read by mistake" in text


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"number": ""}, "say whose card it is"),
        ({"number": "998"}, "there is no contestant 998"),
        ({"number": "x"}, "whole number"),
        ({"class_number": "77"}, "there is no class 77"),
        ({"class_number": ""}, "say which class"),
    ],
)
def test_a_move_to_nowhere_is_refused_beside_the_field(superintendent, contest, start, fields, says):
    read(contest, 1, 999, "3124")
    stray = Reading.objects.get()
    move = {"act": "move", "number": "102", "class_number": "1", "quick": "read by mistake", "back": "doubts"}
    response = superintendent.post(f"{start}readings/card/{stray.pk}/", sent(**(move | fields)))
    assert response.status_code == 422
    assert says in html_in(response)
    assert Reading.objects.filter(withdrawn_at=None).count() == 1


def test_a_reading_that_somebody_dealt_with_meanwhile_is_left_alone(superintendent, contest, start):
    read(contest, 1, 999, "3124")
    stray = Reading.objects.get()
    fields = sent(act="set-aside", quick="read by mistake")
    superintendent.post(f"{start}readings/card/{stray.pk}/", fields)
    response = superintendent.post(
        f"{start}readings/card/{stray.pk}/", sent(act="move", number="101", class_number="1", quick="read by mistake")
    )
    assert response.status_code == 409
    assert "superintendent has dealt with this reading meanwhile" in html_in(response)
    assert not Card.objects.exists()


def test_somebody_marked_absent_is_here_after_all(superintendent, contest, start):
    read(contest, 1, 104, "3124")
    read(contest, 2, 104, "3124")
    response = superintendent.post(f"{start}people/104/", sent(act="present", quick="left early"))
    assert response.status_code == 302
    assert the_contestant(contest, 104).present
    assert doubts_of(contest) == []


def test_somebody_absent_stays_so_and_the_cards_are_kept(superintendent, contest, start):
    read(contest, 1, 104, "3124")
    read(contest, 2, 104, "4321")
    superintendent.post(f"{start}people/104/", sent(act="leave", quick="left early", reason="ill since noon"))
    assert not the_contestant(contest, 104).present
    assert doubts_of(contest) == []
    assert sorted(Card.objects.values_list("placing", "state")) == [("3124", "settled"), ("4321", "settled")]
    assert set(Reading.objects.filter(decides=True).values_list("reason", flat=True)) == {"ill since noon"}


def test_cards_of_the_ineligible_are_mentioned_and_wait_for_nobody(superintendent, contest, start):
    read(contest, 1, 101, "3124")
    contest.contestants.filter(number=101).update(ineligible=True, ineligible_reason="too old")
    text = html_in(superintendent.get(f"{start}doubts/"))
    assert "101 (1 card)" in text
    assert "too old" not in text
    assert doubts_of(contest) == []


def test_reasons_scores_and_marks_are_decided_too(superintendent, contest, start):
    official, contestant = add_official(contest, "A", "x"), the_contestant(contest, 101)
    for by, points in (("Ann", 4000), ("Ben", 4100)):
        read_reasons(the_class(contest, 2), official, contestant, points, by, uuid4())
        read_mark(contest.parts.get(), contestant, points + 25, by, uuid4())
    reasons, mark = doubts_of(contest)
    response = superintendent.post(
        f"{start}reasons/2/{official.pk}/101/decide/",
        sent(counts="b", shown=reasons.fingerprint, quick="as the slip says", back="doubts", next=mark.key),
    )
    assert f"?at={mark.key}&" in response["Location"]
    superintendent.post(
        f"{start}marks/{contest.parts.get().pk}/101/decide/",
        sent(counts="39.5", shown=mark.fingerprint, quick="as the slip says", back="doubts"),
    )
    assert (ReasonsScore.objects.get().hundredths, ReasonsScore.objects.get().state) == (4100, "settled")
    assert (Mark.objects.get().hundredths, Mark.objects.get().state) == (3950, "settled")


def test_points_that_cannot_be_are_refused_and_overtaken_ones_are_shown(superintendent, contest, start):
    part, contestant = contest.parts.get(), the_contestant(contest, 101)
    read_mark(part, contestant, 4000, "Ann", uuid4())
    read_mark(part, contestant, 4100, "Ben", uuid4())
    (mark,) = doubts_of(contest)
    fields = {"shown": mark.fingerprint, "quick": "as the slip says"}
    address = f"{start}marks/{part.pk}/101/decide/"
    too_many = superintendent.post(address, sent(counts="51", **fields))
    assert too_many.status_code == 422
    assert "0 to 50 points" in html_in(too_many)
    read_mark(part, contestant, 4200, "Cy", uuid4())
    overtaken = superintendent.post(address, sent(counts="40", **fields))
    assert overtaken.status_code == 409
    assert "<bdi>Cy</bdi>" in html_in(overtaken)
    assert Mark.objects.get().state == "doubt"


def test_the_history_of_a_card_shows_every_reading_ever_made(superintendent, contest, start):
    differing(contest)
    superintendent.post(
        f"{start}readings/card/{Reading.objects.first().pk}/", sent(act="set-aside", quick="read by mistake")
    )
    read(contest, 1, 101, "4321", "Cy")
    decide_card(the_class(contest), the_contestant(contest, 101), "4321", "Sue", "asked", on_card="43")
    text = html_in(superintendent.get(f"{start}cards/1/101/"))
    for words in (
        "3124",
        "3142",
        "4321",
        "Ann",
        "Ben",
        "Cy",
        "Sue",
        "read by mistake",
        "asked",
        "On the card: <b>43</b>",
    ):
        assert words in text
    assert "Family" not in text  # numbers are enough


def test_the_history_of_a_number_that_nobody_has(superintendent, contest, start):
    read(contest, 1, 999, "3124")
    response = superintendent.get(f"{start}cards/1/999/")
    assert response.status_code == 200
    assert "Nobody has this number" in html_in(response)


def test_a_page_of_doubts_hears_that_the_list_has_changed(superintendent, contest, start):
    import re

    from django.core.cache import cache

    differing(contest)
    text = html_in(superintendent.get(f"{start}doubts/"))
    shown = re.search(r"news/\?v=(\w+)", text)[1]
    assert superintendent.get(f"{start}doubts/news/", {"v": shown}).status_code == 204
    read(contest, 1, 102, "3124")  # a reading, and no doubt
    cache.delete(f"revision-{contest.pk}")
    assert superintendent.get(f"{start}doubts/news/", {"v": shown}).status_code == 204
    read(contest, 1, 999, "3124")
    cache.delete(f"revision-{contest.pk}")
    response = superintendent.get(f"{start}doubts/news/", {"v": shown})
    assert response.status_code == 200
    assert "The list has changed" in html_in(response)


def test_a_stranger_is_sent_to_join(contest, start):
    assert Client().get(f"{start}doubts/")["Location"].startswith("/join/")
    assert User.objects.count() == 0


@pytest.fixture
def many(contest):
    """60 strays in two classes, then 101 of group A, whose readings differ."""
    for number in range(900, 960):
        read(contest, 1 + number % 2, number, "3124")
    differing(contest)


def shown(text):
    return text.count('class="doubt-sheet"')


def test_many_doubts_are_shown_fifty_at_a_time_the_oldest_first(superintendent, many, start):
    text = html_in(superintendent.get(f"{start}doubts/"))
    assert (shown(text), "<h1>61 doubts</h1>" in text, "1 to 50 of 61 doubts." in text) == (50, True, True)
    assert 'href="?page=2" rel="next">next 11</a>' in text
    rest = html_in(superintendent.get(f"{start}doubts/?page=2"))
    assert (shown(rest), "51 to 61 of 61 doubts." in rest, "card-1-101" in rest) == (11, True, True)


def test_few_doubts_need_no_choosing(superintendent, contest, start):
    differing(contest)
    text = html_in(superintendent.get(f"{start}doubts/"))
    assert "Kinds of doubts" not in text
    assert 'class="part"' not in text


def test_the_rest_is_counted_by_kind_and_by_group_and_each_can_be_had(superintendent, many, start):
    text = html_in(superintendent.get(f"{start}doubts/"))
    assert '<a href="?kind=unknown">Unknown number <b>60</b></a>' in text
    assert '<a href="?group=A"><bdi>Group A</bdi> <b>1</b></a>' in text
    for query in ("kind=differs", "group=A", "number=101"):
        text = html_in(superintendent.get(f"{start}doubts/?{query}"))
        assert (shown(text), 'id="card-1-101"' in text, "<h1>61 doubts</h1>" in text) == (1, True, True)
    assert "No doubt fits" in html_in(superintendent.get(f"{start}doubts/?number=555"))


def test_the_doubt_that_is_asked_for_is_shown_wherever_it_stands(superintendent, many, start):
    text = html_in(superintendent.get(f"{start}doubts/?at=card-1-101"))
    assert "51 to 61 of 61 doubts." in text
    assert text.index('id="card-1-101"') < text.index("autofocus")


def test_a_choice_outlives_a_decision_and_a_refusal(superintendent, contest, many, start):
    doubt = next(doubt for doubt in doubts_of(contest) if doubt.kind == "differs")
    fields = {"shown": doubt.fingerprint, "quick": "as the card says", "back": "doubts", "among": "kind=differs"}
    address = f"{start}cards/1/101/decide/"
    refused = superintendent.post(address, sent(counts="3122", **fields))
    assert (refused.status_code, shown(html_in(refused))) == (422, 1)
    assert 'name="among" value="kind=differs"' in html_in(refused)
    decided = superintendent.post(address, sent(counts="a", next="card-1-102", **fields))
    assert decided["Location"].startswith(f"{start}doubts/?kind=differs&at=card-1-102&did=")


class TestRuns:
    """What one reader read of a class and group, moved at once."""

    @pytest.fixture
    def address(self, contest, start):
        for number in (101, 102):
            read(contest, 1, number, "3124", "Ben")
        return f"{start}runs/{Reading.objects.earliest('pk').pk}/"

    def moving(self, **fields):
        return sent(**({"first": "101", "last": "102", "quick": "the stack was read as another"} | fields))

    def test_the_page_of_a_card_leads_there(self, superintendent, start, address):
        assert f'href="{address}"' in html_in(superintendent.get(f"{start}cards/1/101/"))

    @pytest.mark.parametrize(
        ("fields", "why"),
        [
            ({"there": ""}, "This field is required"),
            ({"there": "99"}, "not one of the available choices"),
            ({"there": "0", "first": "1", "last": "9"}, "Ben read nothing of these numbers"),
            ({"there": "0", "first": ""}, "This field is required"),
        ],
    )
    def test_it_is_refused_in_words(self, superintendent, address, fields, why):
        response = superintendent.post(address, self.moving(**fields))
        assert response.status_code == 422
        assert why in html_in(response)
        assert Reading.objects.filter(withdrawn_at=None).count() == 2

    def test_no_more_go_to_a_group_than_it_has_cards(self, superintendent, address):
        page = html_in(superintendent.get(address))
        (there,) = re.findall(r'<option value="(\d+)">Class 1, group B<', page)
        refused = html_in(superintendent.post(address, self.moving(there=there)))
        assert "only 1 card is due there, and 2 were read" in refused

    def test_what_is_no_reading_of_the_contest_is_not_found(self, superintendent, start):
        assert superintendent.get(f"{start}runs/99/").status_code == 404
