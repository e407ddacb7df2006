"""The pages of keys: who sees what, one line of typing, and the second entry blind."""

import re

import pytest

from contest.keys import enter_key
from contest.models import Duty, Key, KeyDispute
from contest.web import revisions
from tests.contest.watch.cast import read, sent, small_contest, the_class
from tests.pages import html_in

pytestmark = pytest.mark.any_database


@pytest.fixture
def contest(db):
    return small_contest()


@pytest.fixture
def start(contest):
    return f"/contests/{contest.pk}/watch/keys/"


@pytest.fixture
def ann(as_helper, contest):
    return as_helper(contest, Duty.KEYS, "Ann")


@pytest.fixture
def ben(as_helper, contest):
    return as_helper(contest, Duty.KEYS, "Ben")


def text_of(response):
    return html_in(response)


def test_the_list_says_how_far_every_key_is(superintendent, contest, start):
    enter_key(the_class(contest, 2), "3124", (3, 5, 2), "Ann")
    text = text_of(superintendent.get(start))
    assert "confirmed" in text  # class 1, of the book
    assert "typed once" in text
    assert "Showmanship" not in text  # it places nothing, so it has no key


def test_a_key_is_typed_in_one_line(ann, start):
    response = ann.post(f"{start}2/", sent(text="3124 352"))
    assert (response.status_code, response["Location"]) == (302, f"{start}?entered=2")
    key = Key.objects.get(judging_class__number=2)
    assert (str(key), key.by, key.confirmed_by) == ("3124 3-5-2", "Ann", "")
    assert "Class 2: typed once." in text_of(ann.get(f"{start}?entered=2"))


def test_the_second_person_does_not_see_what_the_first_one_typed(ann, ben, superintendent, start):
    ann.post(f"{start}2/", sent(text="4213 176"))
    shown = "4, 2, 1, 3; top cut 1"
    assert shown in text_of(ann.get(f"{start}2/"))
    for client in (ben, superintendent):
        assert shown not in text_of(client.get(start))
    assert shown not in text_of(ben.get(f"{start}2/"))
    assert "Ann" in text_of(ben.get(f"{start}2/"))
    # The superintendent sees it only beside the button that lets one entry be enough.
    text = text_of(superintendent.get(f"{start}2/"))
    assert shown in text[text.index("<details") :]
    assert shown not in text[: text.index("<details")]
    ben.post(f"{start}2/", sent(text="4213 176"))
    assert Key.objects.get(judging_class__number=2).confirmed_by == "Ben"
    assert shown in text_of(ben.get(start))


def test_a_second_entry_that_differs_is_shown_to_both_and_settled_for_a_reason(ann, ben, start):
    ann.post(f"{start}2/", sent(text="3124 352"))
    response = ben.post(f"{start}2/", sent(text="3142 352"))
    assert response.status_code == 409
    for text in (text_of(response), text_of(ann.get(f"{start}2/"))):
        assert "3, 1, 2, 4; top cut 3" in text
        assert "3, 1, 4, 2; top cut 3" in text
    assert Key.objects.filter(judging_class__number=2).count() == 1
    refused = ann.post(f"{start}2/settle/", sent(right="second", reason=""))
    assert refused.status_code == 422
    assert "say how you know" in text_of(refused)
    assert re.search(r'value="second" required checked', text_of(refused))
    assert ann.post(f"{start}2/settle/", sent(right="second", reason="my slip")).status_code == 302
    key = Key.objects.filter(judging_class__number=2).last()
    assert (str(key), key.by, key.confirmed_by, key.reason) == ("3142 3-5-2", "Ben", "Ann", "my slip")
    late = ben.post(f"{start}2/settle/", sent(right="first", reason="x"))
    assert late.status_code == 409
    assert KeyDispute.objects.get().settled_by == "Ann"


def test_a_changed_key_asks_why_and_says_how_many_cards_it_touches(ann, contest, start):
    read(contest, 1, 101, "3124")
    read(contest, 1, 102, "3124")
    assert "scores 2 cards anew" in text_of(ann.get(f"{start}1/"))
    refused = ann.post(f"{start}1/", sent(text="3142 352"))
    assert refused.status_code == 422
    assert "say why it changes" in text_of(refused)
    assert 'value="3142 352"' in text_of(refused)
    response = ann.post(f"{start}1/", sent(text="3142 352", reason="the official corrected it"), follow=True)
    assert "2 cards scored anew" in text_of(response)
    text = text_of(ann.get(f"{start}1/"))
    assert "the official corrected it" in text
    assert "3, 1, 2, 4; top cut 3" in text  # the version before


def test_a_key_that_is_none_is_refused_beside_the_field(ann, start):
    response = ann.post(f"{start}2/", sent(text="3122 352"))
    assert response.status_code == 422
    for words in ("more than once", 'value="3122 352"', 'aria-invalid="true"'):
        assert words in text_of(response)
    assert not Key.objects.filter(judging_class__number=2).exists()


def test_what_is_typed_shows_its_grid_and_warnings_and_changes_nothing(ann, contest, start):
    before = contest.revision
    text = text_of(ann.post(f"{start}2/preview/", {"text": "3124 3 10 3"}))
    assert len(re.findall(r'class="placing">\d{4}<', text)) == 24
    assert "the cuts add up to 16, more than 15" in text
    assert "Nebraska G2092" in text
    contest.refresh_from_db()
    assert contest.revision == before
    assert not Key.objects.filter(judging_class__number=2).exists()


def test_cuts_that_are_all_0_warn_and_a_sign_before_one_is_no_cut(ann, start):
    assert "every cut is 0" in text_of(ann.post(f"{start}2/preview/", {"text": "3124 000"}))
    ann.post(f"{start}2/", sent(text="3124 000"))
    assert "every cut is 0" in text_of(ann.get(start))
    for below in ("3124 3 5 -2", "3124 3 -2 5", "3124 3 5 −2"):
        refused = ann.post(f"{start}2/", sent(text=below))
        assert refused.status_code == 422
        assert re.search("“(-2|−)” is no (cut|part of a key)", text_of(refused))


def test_half_a_key_shows_what_is_still_to_come(ann, start):
    assert "now the three cuts" in text_of(ann.post(f"{start}2/preview/", {"text": "3124"}))
    assert text_of(ann.post(f"{start}2/preview/", {"text": ""})).strip() == ""


def test_scores_below_zero_are_shown_as_the_contest_counts_them(ann, contest, start):
    assert "−5" in text_of(ann.post(f"{start}2/preview/", {"text": "3124 3 10 2"}))
    type(contest).objects.update(negative_scores="zero")
    assert "−" not in re.sub("<li><strong>.*", "", text_of(ann.post(f"{start}2/preview/", {"text": "3124 3 10 2"})))


def test_a_warning_never_blocks(ann, start):
    assert ann.post(f"{start}2/", sent(text="3124 9 9 9")).status_code == 302


def test_the_superintendent_alone_accepts_one_entry_for_a_reason(superintendent, ann, start):
    ann.post(f"{start}2/", sent(text="3124 352"))
    assert "<details" not in text_of(ann.get(f"{start}2/"))
    assert ann.post(f"{start}2/accept/", sent(reason="quick")).status_code == 404
    assert superintendent.post(f"{start}2/accept/", sent(reason="")).status_code == 422
    assert superintendent.post(f"{start}2/accept/", sent(reason="nobody else is here")).status_code == 302
    assert Key.objects.get(judging_class__number=2).confirmed_by == "superintendent"


def test_the_same_submission_twice_is_one_entry(ann, start):
    fields = sent(text="3124 352")
    for _ in range(2):
        assert ann.post(f"{start}2/", fields).status_code == 302
    assert Key.objects.filter(judging_class__number=2).count() == 1
    again = ann.post(f"{start}2/", {**fields, "text": "3142 352"})
    assert again.status_code == 422


@pytest.mark.parametrize("duty", [Duty.TABULATOR, Duty.REASONS, Duty.CHECK_IN, Duty.ANNOUNCER])
def test_keys_are_secret_from_every_other_duty(as_helper, contest, start, duty):
    client = as_helper(contest, duty)
    for page in (start, f"{start}1/"):
        assert client.get(page).status_code == 404
    for page in ("1/", "1/preview/", "1/settle/", "1/accept/"):
        assert client.post(start + page, sent(text="3142 352", reason="x", right="first")).status_code == 404


def test_whoever_enters_keys_sees_no_card_and_no_standing(ann, contest, start):
    read(contest, 1, 101, "4231")
    for page in (start, f"{start}1/"):
        text = text_of(ann.get(page))
        assert "4231" not in text
        assert "standings" not in text
    for page in ("watch/progress/", "watch/doubts/", "watch/cards/1/101/", "standings/", "classes/1/"):
        assert ann.get(f"/contests/{contest.pk}/{page}").status_code == 404


def test_a_helper_of_another_contest_is_not_let_in(as_helper, start):
    assert as_helper(small_contest(), Duty.KEYS).get(start).status_code == 404


def test_the_wrong_way_of_asking_is_refused(superintendent, start):
    assert superintendent.post(start).status_code == 405
    for page in ("1/preview/", "1/settle/", "1/accept/"):
        assert superintendent.get(start + page).status_code == 405


def test_a_class_without_a_key_is_not_found(superintendent, start):
    for page in ("3/", "99/"):
        assert superintendent.get(start + page).status_code == 404


def test_the_list_costs_the_same_however_many_keys(
    superintendent, contest, start, django_assert_num_queries, monkeypatch
):
    monkeypatch.setattr(revisions, "FRESH_FOR", 60)  # however slow the machine is
    superintendent.get(start)
    # Who asks, for whom, the contest, its classes, parts, keys of both, disputes, seats, when it began.
    with django_assert_num_queries(10):
        superintendent.get(start)


def test_a_poll_of_the_list_is_told_nothing_while_nothing_changes(superintendent, contest, start):
    shown = re.search(r"\?v=(\d+)", text_of(superintendent.get(start)))[1]
    assert superintendent.get(start, {"v": shown}).status_code == 204
    assert text_of(superintendent.get(start, {"v": "0"})).startswith('<div id="keys"')
