"""The pages of a practice: the coach's, the screen's, and the members' own."""

from uuid import uuid4

import pytest
from django.test import Client

from contest.access import OUT_HEADER
from contest.book.pair_notes import LONGEST_NOTE, Note
from contest.models import Contest, Practice, PracticeClass, PracticePlacing
from contest.pair_notes import fingerprint
from contest.practice.joining import join_practice
from contest.practice.making import add_class, make_practice
from contest.practice.running import go_to, hand_in, pair_notes_of, set_key, write_pair_notes
from tests.trails import trail_of

pytestmark = pytest.mark.django_db

Step = PracticeClass.Step
JSON = {"Accept": "application/json"}


@pytest.fixture
def practice():
    return make_practice("Market steers", "1234", 12, keeps=False, by="coach")


def lead(practice, to):
    judged = practice.classes.last()
    for step in range(judged.step + 1, to + 1):
        go_to(judged, step - 1, step)
        judged.refresh_from_db()


def a_member(practice, name="Ana"):
    client = Client()
    reply = client.post("/practice/", {"submission": uuid4(), "name": name, "code": practice.code})
    assert reply.url == "/practice/mine/"
    return client


def send(client, placing, number=1, **more):
    fields = {"submission": uuid4(), "by": "Ana", "number": number, "placing": placing, **more}
    return client.post("/practice/mine/handed-in/", fields, headers=JSON)


def press(coach, practice, shown, to, **more):
    fields = {"submission": uuid4(), "number": 1, "shown": shown, "to": to, **more}
    return coach.post(f"/practices/{practice.pk}/step/", fields)


class TestMakingOne:
    def test_three_fields_make_one_and_no_contest(self, superintendent):
        fields = {"submission": uuid4(), "name": "Hogs", "animals": "a b x y", "minutes": "10", "keeps": "yes"}
        reply = superintendent.post("/practices/", fields)
        made = Practice.objects.get()
        assert reply.url == f"/practices/{made.pk}/"
        judged = made.classes.get()
        assert (judged.name, judged.animals, judged.minutes, made.keeps) == ("Hogs", "ABXY", 10, True)
        assert not Contest.every.exists()
        assert superintendent.post("/practices/", fields).url == reply.url
        assert Practice.objects.count() == 1

    @pytest.mark.parametrize(
        ("field", "typed", "why"),
        [
            ("name", "", "required"),
            ("animals", "12", "a class has 3 to 8"),
            ("animals", "1123", "label twice"),
            ("minutes", "0", "1"),
        ],
    )
    def test_what_cannot_be_is_said_beside_its_field(self, superintendent, field, typed, why):
        fields = {"submission": uuid4(), "name": "Hogs", "animals": "1234", "minutes": "10", field: typed}
        reply = superintendent.post("/practices/", fields)
        assert reply.status_code == 422
        assert why in str(reply.context["form"].errors[field])
        assert not Practice.objects.exists()

    def test_a_practice_stands_in_no_list_of_contests(self, superintendent, practice):
        assert "Market steers" not in superintendent.get("/").content.decode()
        assert "Market steers" not in Client().get("/today/").content.decode()
        assert "Market steers" in superintendent.get("/practices/").content.decode()

    def test_the_page_that_lists_them_has_a_bound(self, superintendent):
        for number in range(51):
            make_practice(f"Class {number}", "1234", 12, keeps=False, by="coach")
        assert len(superintendent.get("/practices/").context["practices"].rows) == 50


class TestJoining:
    def test_a_code_that_was_typed_on_the_page_for_helpers_leads_here(self, client, practice):
        reply = client.post("/join/", {"submission": uuid4(), "name": "Ana", "code": practice.code.lower()})
        assert reply.url == f"/practice/?code={practice.code}"
        assert practice.code in client.get(reply.url).content.decode()

    def test_a_name_that_is_taken_and_a_code_that_is_none_are_told(self, client, practice):
        a_member(practice)
        reply = client.post("/practice/", {"submission": uuid4(), "name": "ana", "code": practice.code})
        assert (reply.status_code, "under that name already" in reply.content.decode()) == (422, True)
        reply = client.post("/practice/", {"submission": uuid4(), "name": "Ben", "code": "ABC-DEF-GHJ"})
        assert (reply.status_code, "not the code of a practice" in reply.content.decode()) == (422, True)

    def test_a_wrong_code_is_noted_as_one_of_a_contest_is(self, client, practice):
        client.post("/practice/", {"submission": uuid4(), "name": "Ben", "code": "ABC-DEF-GHJ"})
        assert (trail_of(None)[-1].what, trail_of(None)[-1].by) == ("join code refused", "a stranger")

    def test_whoever_is_no_member_is_led_to_joining(self, client):
        assert client.get("/practice/mine/").url == "/practice/"
        asked = client.get("/practice/mine/live/", headers={"HX-Request": "true"})
        assert asked.headers["HX-Redirect"] == "/practice/"
        told = client.get("/practice/mine/hello/", headers=JSON)
        assert (told.status_code, told.headers[OUT_HEADER]) == (401, "1")

    def test_leaving_forgets_who_it_was_and_keeps_what_was_handed_in(self, practice):
        client = a_member(practice)
        send(client, "3124")
        client.post("/practice/leave/")
        assert client.get("/practice/mine/").status_code == 302
        assert PracticePlacing.objects.count() == 1


class TestHandingIn:
    def test_a_device_is_told_that_it_is_saved_and_twice_is_once(self, practice):
        client, submission = a_member(practice), uuid4()
        for _ in range(2):
            reply = send(client, "3124", submission=submission)
            assert (reply.status_code, reply.json()["kind"]) == (200, "saved")
        assert PracticePlacing.objects.get().placing == "3124"

    def test_a_form_without_a_script_does_the_same(self, practice):
        client = a_member(practice)
        lead(practice, Step.PLACING)
        fields = {"submission": uuid4(), "by": "Ana", "number": 1, "placing": "3 1 2 4"}
        assert client.post("/practice/mine/handed-in/", fields).url == "/practice/mine/"
        reply = client.post("/practice/mine/handed-in/", fields | {"submission": uuid4(), "placing": "3125"})
        assert reply.status_code == 422
        assert "names &#x27;5&#x27;" in reply.content.decode()
        assert 'value="3125"' in reply.content.decode()

    @pytest.mark.parametrize(("placing", "number"), [("3125", 1), ("", 1), ("3124", 7), ("3124", "x")])
    def test_what_cannot_be_is_refused_in_words(self, practice, placing, number):
        reply = send(a_member(practice), placing, number)
        assert (reply.status_code, reply.json()["kind"], bool(reply.json()["text"])) == (422, "refused", True)

    def test_what_one_member_typed_is_never_saved_as_anothers(self, practice):
        client = a_member(practice, "Ben")
        assert send(client, "3124").status_code == 401
        assert not PracticePlacing.objects.exists()

    def test_notes_come_by_animal_and_row_and_only_those_that_say_something(self, practice):
        client = a_member(practice)
        send(client, "3124", **{"note-3-good": "deep in the rib", "note-1-faults": " ", "note-9-good": "?"})
        assert PracticePlacing.objects.get().notes == {"3": {"good": "deep in the rib"}}


class TestNothingLeaks:
    """The official placing, and who placed what, are in nothing that is sent before their step."""

    def pages(self, practice, member, coach):
        own = [member.get(address) for address in ("/practice/mine/", "/practice/mine/live/?v=no")]
        room = [coach.get(f"/practices/{practice.pk}/screen/{part}") for part in ("", "live/?v=no")]
        coachs = [coach.get(f"/practices/{practice.pk}/{part}") for part in ("", "live/?v=no")]
        return own, room, coachs

    @pytest.mark.parametrize("step", Step.values)
    def test_each_step_shows_its_own_and_no_more(self, superintendent, step):
        # Letters that stand in no submission's id.
        practice = make_practice("Market steers", "WXYZ", 12, keeps=False, by="coach")
        member = a_member(practice)
        for name, placing in {"Zelda": "ZYXW", "Yorick": "ZXYW"}.items():
            hand_in(join_practice(practice, name), 1, placing, {"Z": {"good": "a secret note"}})
        set_key(practice.classes.get(), "XZWY", (7, 6, 4))
        notes = [Note(), Note("freer moving", "wider", "off in a pastern"), Note()]
        write_pair_notes(practice.classes.get(), notes, fingerprint([Note()] * 3))
        lead(practice, step)
        own, room, coachs = self.pages(practice, member, superintendent)
        for page in (*own, *room, *coachs):
            text = page.content.decode()
            assert page.status_code == 200
            assert step >= Step.OFFICIAL or "XZWY" not in text
            assert step >= Step.CUTS or "7-6-4" not in text
            assert step >= Step.GROUP or "ZYXW" not in text
            assert step == Step.REASONS or "off in a pastern" not in text
        for page in (*own, *coachs):  # the screen has room for one thing at a time
            text = page.content.decode()
            assert ("XZWY" in text, "7-6-4" in text) == (step >= Step.OFFICIAL, step >= Step.CUTS)
            assert ("off in a pastern" in text) == (step == Step.REASONS)
        for page in (*own, *room):
            text = page.content.decode()
            assert "Zelda" not in text
            assert "a secret note" not in text

    def test_members_score_themselves_alone(self, practice):
        ana, ben = a_member(practice), a_member(practice, "Ben")
        send(ana, "3124")
        ben.post("/practice/mine/handed-in/", {"submission": uuid4(), "by": "Ben", "number": 1, "placing": "4213"})
        set_key(practice.classes.get(), "3124", (3, 5, 2))
        lead(practice, Step.SCORES)
        assert "<b>50</b> of 50" in ana.get("/practice/mine/").content.decode()
        assert "<b>15</b> of 50" in ben.get("/practice/mine/").content.decode()


class TestTheCoach:
    def test_a_page_that_shows_what_there_is_is_told_nothing(self, practice, superintendent):
        member = a_member(practice)
        practice.refresh_from_db()
        for client, address in (
            (superintendent, f"/practices/{practice.pk}/live/"),
            (superintendent, f"/practices/{practice.pk}/screen/live/"),
            (member, "/practice/mine/live/"),
        ):
            assert client.get(f"{address}?v={practice.revision}").status_code == 204
            assert client.get(f"{address}?v={practice.revision - 1}").status_code == 200

    def test_a_press_from_a_page_that_is_behind_is_told(self, practice, superintendent):
        assert press(superintendent, practice, 0, 1).status_code == 302
        assert press(superintendent, practice, 1, 2).status_code == 302
        reply = press(superintendent, practice, 0, 1)
        assert (reply.status_code, "gone on meanwhile" in reply.content.decode()) == (409, True)
        assert press(superintendent, practice, "", 1).status_code == 404

    def test_a_key_that_cannot_be_is_said_beside_its_field(self, practice, superintendent):
        address = f"/practices/{practice.pk}/classes/1/key/"
        fields = {"submission": uuid4(), "placing": "3125", "cut0": "3", "cut1": "5", "cut2": "-2"}
        reply = superintendent.post(address, fields)
        assert reply.status_code == 422
        assert set(reply.context["form"].errors) == {"placing", "cut2"}
        fields |= {"submission": uuid4(), "placing": "3124", "cut2": "2"}
        assert superintendent.post(address, fields).status_code == 302
        assert practice.classes.get().cuts == (3, 5, 2)

    @pytest.mark.parametrize("animals", ["ABC", "12345678"])
    def test_notes_are_written_on_each_pair_and_nothing_that_was_typed_is_lost(self, superintendent, animals):
        practice = make_practice("Any", animals, 5, keeps=False, by="coach")
        address, pairs = f"/practices/{practice.pk}/classes/1/notes/", len(animals) - 1
        forms = [form for _, form in superintendent.get(address).context["pairs"]]
        assert len(forms) == pairs
        none = fingerprint([Note()] * pairs)
        fields = {"submission": uuid4(), "shown": none, forms[-1].add_prefix("faults"): "narrow"}
        for _ in range(2):  # a double press
            assert superintendent.post(address, fields).url == f"/practices/{practice.pk}/#now"
        assert pair_notes_of(practice.classes.get()) == [*[Note()] * (pairs - 1), Note(faults="narrow")]
        late = {"submission": uuid4(), "shown": none, forms[0].add_prefix("decided_by"): "a late word"}
        text = superintendent.post(address, late).content.decode()
        assert ("changed meanwhile" in text, "a late word" in text, "narrow" in text) == (True, True, True)
        long = {"submission": uuid4(), "shown": none, forms[0].add_prefix("decided_by"): "x" * (LONGEST_NOTE + 1)}
        assert superintendent.post(address, long).status_code == 422

    def test_members_see_the_newest_class_and_what_they_did_before(self, practice):
        member = a_member(practice)
        send(member, "3124")
        add_class(practice, "Breeding heifers", "ABC", 8)
        text = member.get("/practice/mine/").content.decode()
        assert "Breeding heifers" in text
        assert "1 Market steers" in text
        assert '<span class="placing">3124</span>' in text

    def test_a_member_is_taken_out_and_told(self, practice, superintendent):
        member = a_member(practice)
        pk = practice.members.get().pk
        out = f"/practices/{practice.pk}/members/{pk}/out/"
        other = make_practice("Hogs", "1234", 12, keeps=False, by="coach")
        superintendent.post(out.replace(f"/{practice.pk}/", f"/{other.pk}/", 1), {"submission": uuid4()})
        assert practice.members.exists()
        superintendent.post(out, {"submission": uuid4()})
        assert member.get("/practice/mine/").url == "/practice/"
        assert "taken you out" in member.get("/practice/").content.decode()

    def test_one_press_deletes_it(self, practice, superintendent):
        a_member(practice)
        assert superintendent.post(f"/practices/{practice.pk}/delete/", {"submission": uuid4()}).url == "/practices/"
        assert not Practice.objects.exists()
        assert superintendent.get(f"/practices/{practice.pk}/").status_code == 404

    def test_it_is_kept_and_let_go_again(self, practice, superintendent):
        for keeps in ("yes", ""):
            superintendent.post(f"/practices/{practice.pk}/keep/", {"submission": uuid4(), "keeps": keeps})
            practice.refresh_from_db()
            assert practice.keeps == bool(keeps)
