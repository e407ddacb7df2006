"""Sets of reasons in a practice: outlines, whose turn it is, scores, and the words to give them in."""

from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.test import Client

from contest.changes.exceptions import NotPossible
from contest.models import PracticeSet, PracticeSetScore, TermList
from contest.practice.joining import join_practice, remove_member
from contest.practice.making import add_class, delete_practice, make_practice
from contest.practice.outline import outlined, parts
from contest.practice.sets import hand_in_outline, let_speak, score_as_coach, score_as_member, set_up_reasons
from contest.practice.showing_sets import heard, own_set, sets_of_class
from contest.practice.terms import all_terms, write_terms

pytestmark = pytest.mark.django_db

JSON = {"Accept": "application/json"}
MARKS = {"accuracy": 8, "delivery": 7, "terms": 9, "organisation": 8}


@pytest.fixture
def practice():
    return make_practice("Market steers", "1234", 12, keeps=False, by="coach")


@pytest.fixture
def judged(practice):
    return practice.classes.get()


def a_member(practice, name="Ana"):
    client = Client()
    client.post("/practice/", {"submission": uuid4(), "name": name, "code": practice.code})
    return client, practice.members.get(name=name)


def let_peers_score(practice):
    set_up_reasons(practice, 2, dict(zip(MARKS, (4, 2, 2, 2), strict=True)), True)
    practice.refresh_from_db()


class TestOutlines:
    @pytest.mark.parametrize("animals", ["ABC", "1234", "12345678"])
    def test_one_has_an_opening_three_parts_of_each_pair_and_a_close(self, animals):
        made = parts(animals)
        assert (made[0], made[-1], len(made)) == ("opening", "close", 2 + 3 * (len(animals) - 1))

    def test_it_is_read_in_the_order_in_which_it_is_said(self, practice, judged):
        ana = join_practice(practice, "Ana")
        words = {"close": "so I place them", "1-fault": "shallow", "2-why": "wider", "opening": "steers"}
        row = hand_in_outline(ana, 1, "3124", words)
        assert outlined(row.outline) == [
            ("Opening", "steers"),
            ("Top pair: 3 over 1; Fault", "shallow"),
            ("Middle pair: 1 over 2; Why over", "wider"),
            ("Close", "so I place them"),
        ]
        hand_in_outline(ana, 1, "3124", {"opening": "anew"})
        assert judged.sets.get().outline == {"placing": "3124", "opening": "anew"}

    @pytest.mark.parametrize(("number", "placing", "why"), [(2, "3124", "no class 2"), (1, "3125", "animals are")])
    def test_what_cannot_be_is_refused(self, practice, number, placing, why):
        with pytest.raises(NotPossible, match=why):
            hand_in_outline(join_practice(practice, "Ana"), number, placing, {})

    def test_it_comes_by_the_devices_outbox_and_twice_is_once(self, practice, judged):
        client, _ana = a_member(practice)
        fields = {"submission": uuid4(), "by": "Ana", "number": 1, "placing": "3124", "1-why": "longer", "9-why": "?"}
        for _ in range(2):
            reply = client.post("/practice/mine/outline/", fields, headers=JSON)
            assert (reply.status_code, reply.json()["kind"]) == (200, "saved")
        assert judged.sets.get().outline == {"placing": "3124", "1-why": "longer"}
        assert client.post("/practice/mine/outline/", fields | {"by": "Ben"}, headers=JSON).status_code == 401
        for wrong in ({"placing": "31"}, {"number": 7}, {"1-why": "x" * 601}):
            reply = client.post("/practice/mine/outline/", fields | {"submission": uuid4()} | wrong, headers=JSON)
            assert (reply.status_code, bool(reply.json()["text"])) == (422, True)

    def test_only_what_is_handed_in_is_read_by_the_coach_and_by_nobody_else(self, practice, superintendent):
        ana, ben = a_member(practice)[0], a_member(practice, "Ben")[0]
        fields = {"submission": uuid4(), "by": "Ana", "number": 1, "placing": "3124", "1-why": "a secret word"}
        ana.post("/practice/mine/outline/", fields)
        page = f"/practices/{practice.pk}/classes/1/reasons/"
        assert "a secret word" in superintendent.get(page).content.decode()
        for client, address in ((ben, "/practice/mine/"), (superintendent, f"/practices/{practice.pk}/screen/")):
            assert "a secret word" not in client.get(address).content.decode()


class TestSpeaking:
    def test_one_has_the_floor_at_a_time(self, practice, judged):
        ana, ben = join_practice(practice, "Ana"), join_practice(practice, "Ben")
        let_speak(judged, ana)
        let_speak(judged, ben)
        assert judged.sets.get(speaks=True).member == ben
        let_speak(judged, None)
        assert not judged.sets.filter(speaks=True).exists()

    def test_the_database_itself_lets_only_one_speak(self, practice, judged):
        let_speak(judged, join_practice(practice, "Ana"))
        called = judged.sets.get().called_at
        with pytest.raises(IntegrityError), transaction.atomic():
            judged.sets.create(member=join_practice(practice, "Ben"), speaks=True, called_at=called)
        with pytest.raises(IntegrityError), transaction.atomic():
            PracticeSet.objects.update(called_at=None)

    def test_who_was_taken_out_is_gone_with_their_set_and_what_they_gave(self, practice, judged):
        let_peers_score(practice)
        ana, ben = join_practice(practice, "Ana"), join_practice(practice, "Ben")
        let_speak(judged, ana)
        score_as_member(judged.sets.get(), ben, MARKS, "")
        remove_member(ben)
        assert not PracticeSetScore.objects.exists()
        remove_member(ana)
        assert not PracticeSet.objects.exists()
        with pytest.raises(NotPossible, match="taken out"):
            let_speak(judged, ana)
        delete_practice(practice, "coach")


class TestScoring:
    def test_a_score_takes_the_place_of_the_one_before_and_weighs_as_the_coach_says(self, practice, judged):
        ana = join_practice(practice, "Ana")
        score_as_coach(judged, ana, MARKS | {"accuracy": 1}, "")
        score_as_coach(judged, ana, MARKS, "Look up.")
        (one,) = own_set(judged, ana).scores
        assert (one.points, one.row.comment) == ("40", "Look up.")
        set_up_reasons(practice, 3, {"accuracy": 1, "delivery": 1, "terms": 1, "organisation": 0}, False)
        practice.refresh_from_db()
        judged.practice = practice
        assert own_set(judged, ana).scores[0].points == "40"
        set_up_reasons(practice, 3, {"accuracy": 1, "delivery": 2, "terms": 0, "organisation": 0}, False)
        practice.refresh_from_db()
        judged.practice = practice
        assert own_set(judged, ana).scores[0].points == "36.67"

    def test_members_score_what_they_heard_also_late_and_never_their_own(self, practice, judged):
        ana, ben = join_practice(practice, "Ana"), join_practice(practice, "Ben")
        let_speak(judged, ana)
        row = judged.sets.get()
        with pytest.raises(NotPossible, match="the coach alone"):
            score_as_member(row, ben, MARKS, "")
        let_peers_score(practice)
        judged.practice = practice
        assert (heard(judged, ben), heard(judged, ana)) == (row, None)
        let_speak(judged, None)
        assert heard(judged, ben) is None
        score_as_member(row, ben, MARKS, "")  # the network held it up
        with pytest.raises(NotPossible, match="of their own"):
            score_as_member(row, ana, MARKS, "")
        assert own_set(judged, ana).peers_mean == "40"

    def test_a_set_that_nobody_gave_and_one_of_another_practice_are_not_scored(self, practice, judged):
        let_peers_score(practice)
        ben = join_practice(practice, "Ben")
        row = hand_in_outline(join_practice(practice, "Ana"), 1, "3124", {})
        with pytest.raises(NotPossible, match="no such set"):
            score_as_member(row, ben, MARKS, "")
        other = make_practice("Hogs", "1234", 12, keeps=False, by="coach")
        let_speak(other.classes.get(), join_practice(other, "Ana"))
        with pytest.raises(NotPossible, match="no such set"):
            score_as_member(other.classes.get().sets.get(), ben, MARKS, "")

    def test_the_database_itself_keeps_one_score_of_each_and_none_above_ten(self, practice, judged):
        ana = join_practice(practice, "Ana")
        made = score_as_coach(judged, ana, MARKS, "")
        for wrong in ({"by": None}, {"by": join_practice(practice, "Ben"), "terms": 11}):
            with pytest.raises(IntegrityError), transaction.atomic():
                made.set.scores.create(**MARKS | wrong)

    def test_a_peer_sees_no_name_and_a_double_press_counts_once(self, practice, judged, superintendent):
        let_peers_score(practice)
        zelda, zelda_row = a_member(practice, "Zelda")
        ben, _ = a_member(practice, "Ben")
        let_speak(judged, zelda_row)
        address = f"/practice/sets/{judged.sets.get().pk}/"
        for page in (ben.get("/practice/mine/"), ben.get(address)):
            assert "Zelda" not in page.content.decode()
        assert address in ben.get("/practice/mine/").content.decode()
        assert zelda.get(address).url == "/practice/mine/"
        fields = {"submission": uuid4(), "by": "Ben", "comment": "clear", **MARKS}
        for _ in range(2):
            assert ben.post(address, fields, headers=JSON).json()["kind"] == "saved"
        assert judged.sets.get().scores.count() == 1
        text = zelda.get("/practice/mine/").content.decode()
        assert ("40 of 50" in text, "clear" in text, ">Ben<" in text) == (True, True, False)
        reply = ben.post(address, fields | {"submission": uuid4(), "delivery": "11", "comment": "kept"})
        assert (reply.status_code, "kept" in reply.content.decode()) == (422, True)
        score = judged.sets.get().scores.get().pk
        superintendent.post(f"/practices/{practice.pk}/classes/1/scores/{score}/out/", {"submission": uuid4()})
        assert not PracticeSetScore.objects.exists()

    def test_the_coach_scores_on_a_page_of_its_own(self, practice, judged, superintendent):
        _client, ana = a_member(practice)
        address = f"/practices/{practice.pk}/classes/1/members/{ana.pk}/score/"
        fields = {"submission": uuid4(), "comment": "Look up.", **MARKS}
        assert superintendent.post(address, fields | {"terms": ""}).status_code == 422
        assert superintendent.post(address, fields | {"submission": uuid4()}).status_code == 302
        assert superintendent.get(address).context["form"]["delivery"].value() == 7
        assert superintendent.get(address.replace(f"/{ana.pk}/", "/999/")).status_code == 404
        text = superintendent.get(f"/practices/{practice.pk}/classes/1/reasons/").content.decode()
        assert "40 of 50" in text

    @pytest.mark.parametrize(
        ("typed", "status"),
        [({}, 302), ({"minutes": "11"}, 422), (dict.fromkeys(MARKS, "0"), 422), ({"terms": ""}, 422)],
    )
    def test_how_sets_are_scored_is_said_for_the_practice(self, practice, superintendent, typed, status):
        fields = {"submission": uuid4(), "minutes": "3", "peers_score": "on", **dict.fromkeys(MARKS, "5"), **typed}
        reply = superintendent.post(f"/practices/{practice.pk}/classes/1/reasons/", fields)
        practice.refresh_from_db()
        assert reply.status_code == status
        assert (practice.reasons_minutes, practice.peers_score) == ((3, True) if status == 302 else (2, False))

    def test_each_class_has_its_own_sets(self, practice, judged):
        ana = join_practice(practice, "Ana")
        score_as_coach(judged, ana, MARKS, "")
        other = add_class(practice, "Hogs", "ABC", 8)
        assert [(one.member, one.row) for one in sets_of_class(other)] == [(ana, None)]


class TestTerms:
    def test_there_are_general_words_until_somebody_writes_others(self):
        (general,) = all_terms()
        assert (general.pk, general.species, len(general.lines)) == (None, "", 6)
        write_terms(0, "Sheep", "long in the loin\n\nopen in the fleece")
        assert [one.species for one in all_terms()] == ["", "Sheep"]
        assert all_terms()[1].lines == ["long in the loin", "open in the fleece"]
        write_terms(0, "", "level")
        assert all_terms()[0][1:] == ("", "level")

    def test_a_species_has_one_list_and_a_list_without_words_is_gone(self):
        write_terms(0, "Sheep", "long in the loin")
        with pytest.raises(NotPossible, match="a list for sheep already"):
            write_terms(0, "sheep", "open")
        pk = TermList.objects.get().pk
        write_terms(pk, "Ewes", "open in the fleece")
        write_terms(pk, "Ewes", "")
        assert not TermList.objects.exists()

    def test_members_see_them_beside_their_outline(self, practice, superintendent):
        fields = {"submission": uuid4(), "list": "", "species": " Market  hogs ", "words": "wide at the ham floor"}
        for _ in range(2):  # a double press
            assert superintendent.post("/practices/terms/", fields).status_code == 302
        assert TermList.objects.get().species == "Market hogs"
        text = a_member(practice)[0].get("/practice/mine/").content.decode()
        assert "wide at the ham floor" in text
        pk = TermList.objects.get().pk
        assert "Market hogs" in superintendent.get(f"/practices/terms/?list={pk}").content.decode()
        reply = superintendent.post("/practices/terms/", fields | {"submission": uuid4()})
        assert (reply.status_code, "already; change that one" in reply.content.decode()) == (422, True)
