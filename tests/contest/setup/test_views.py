"""The set-up's pages."""

import re
from uuid import uuid4

import pytest

from contest.models import Contest, Duty
from contest.setup import contests, outline
from contest.setup.kinds import CLASSES, DIVISIONS
from contest.setup.values import FACTS, RULES, fingerprint, plain_values
from tests.contest.setup.cast import in_use, steps, values_of
from tests.factories import a_contest
from tests.pages import body
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
PAGES = [
    "",
    "facts/",
    "rules/",
    *(f"{kind}/new/" for kind in ("divisions", "categories", "classes", "parts")),
]
DIVISION = {
    "name": "Intermediate",
    "code": "IN",
    "team_counting": "3",
    "short_team": "zero",
    "counting_members": "fixed",
    "alternates_compete": "True",
}


@pytest.fixture
def contest():
    return in_use()


@pytest.fixture
def at(contest):
    return f"/contests/{contest.pk}/setup/"


def send(client, address, values, submission=None):
    typed = {name: "" if value is None else value for name, value in values.items()}
    return client.post(address, {**typed, "submission": str(submission or uuid4())})


def revision(contest):
    return Contest.objects.get(pk=contest.pk).revision


def pages_with_rows(contest):
    for kind in ("divisions", "categories", "classes", "parts"):
        row = getattr(contest, kind).first().pk
        yield f"{kind}/{row}/"
        yield f"{kind}/{row}/remove/"
    yield f"classes/{contest.classes.first().pk}/void/"


class TestWhoMaySeeIt:
    def test_every_page_is_the_superintendents_alone(self, superintendent, as_helper, client, contest, at):
        helpers = [as_helper(contest, duty, duty.name.title()) for duty in Duty]
        for page in (*PAGES, *pages_with_rows(contest)):
            body(superintendent.get(at + page))
            assert {helper.get(at + page).status_code for helper in helpers} == {404}
            assert client.get(at + page).status_code == 302

    def test_no_helper_changes_anything(self, as_helper, contest, at):
        helper = as_helper(contest, Duty.TABULATOR)
        before = revision(contest)
        for page in (*PAGES, *pages_with_rows(contest), "classes/order/", "ties/team/"):
            assert send(helper, at + page, DIVISION).status_code == 404
        assert revision(contest) == before

    def test_what_is_not_there_is_not_found(self, superintendent, contest, at):
        other = a_contest()
        elsewhere = other.classes.get().pk
        for page in (f"classes/{elsewhere}/", f"classes/{elsewhere}/void/", "animals/new/", "classes/4711/remove/"):
            assert superintendent.get(at + page).status_code == 404
        for page in ("animals/order/", "ties/both/"):
            assert send(superintendent, at + page, {}).status_code == 404
        assert superintendent.get("/contests/4711/setup/").status_code == 404

    def test_orders_are_only_ever_sent(self, superintendent, at):
        assert superintendent.get(f"{at}classes/order/").status_code == 405
        assert superintendent.get(f"{at}ties/team/").status_code == 405
        assert superintendent.post(at).status_code == 405

    def test_a_form_without_its_submission_id_changes_nothing(self, superintendent, contest, at):
        assert superintendent.post(f"{at}divisions/new/", DIVISION).status_code == 400
        assert contest.divisions.count() == 2


class TestTheSetUpPage:
    def test_it_leads_through_everything_in_words(self, superintendent, at):
        page = body(superintendent.get(at))
        for words in (
            "The best 3 members of a team count.",
            "Halter; judged by all divisions; oral reasons: Senior",
            "Halter; up to 50 points for each contestant; done by Senior",
            "placing score in class 2, Yearlings",
            "12 minutes a class; no starting time yet.",
            "Every card is read twice.",
        ):
            assert words in page

    def test_an_empty_contest_says_what_each_section_is_for(self, superintendent):
        contest = contests.create_contest("Alder Fair", None, "", "Sue")
        page = body(superintendent.get(f"/contests/{contest.pk}/setup/"))
        assert "A contest has one at least." in page
        assert "Usually four animals each" in page
        assert "Equal totals share their rank" in page

    def test_its_queries_do_not_grow(self, superintendent, django_assert_max_num_queries):
        for count in (1, 30):
            contest = contests.create_contest("Alder Fair", None, "", "Sue")
            outline.add(DIVISIONS, contest, "Sue", **DIVISION | {"team_counting": 3})
            for number in range(1, count + 1):
                outline.add(
                    CLASSES,
                    contest,
                    "Sue",
                    number=number,
                    name="Foals",
                    category="",
                    divisions=["IN"],
                    reasons=[],
                    places=True,
                    perfect=50,
                )
            superintendent.get(f"/contests/{contest.pk}/setup/")
            with django_assert_max_num_queries(16):
                superintendent.get(f"/contests/{contest.pk}/setup/")


class TestFactsAndRules:
    def facts(self, contest, **changed):
        now = plain_values(contest, FACTS)
        values = {name: value for name, value in now.items() if value is not None}
        return values | {"shown": fingerprint(now)} | changed

    def test_facts_are_saved_and_lead_back(self, superintendent, contest, at):
        values = self.facts(contest, name="Alder Fair", starts_at="08:45", held_on="2027-03-01")
        response = send(superintendent, f"{at}facts/", values)
        assert response.headers["Location"] == f"{at}#facts"
        contest.refresh_from_db()
        assert (contest.name, f"{contest.starts_at:%H:%M}", str(contest.held_on)) == (
            "Alder Fair",
            "08:45",
            "2027-03-01",
        )
        assert last_of(contest).by == "superintendent"
        assert 'value="08:45"' in body(superintendent.get(f"{at}facts/"))

    def test_what_is_wrong_is_said_beside_it_and_what_was_typed_stays(self, superintendent, contest, at):
        values = self.facts(contest, name="", place="Bell\x07", minutes_per_class="lots", starts_at="noon")
        page = body(send(superintendent, f"{at}facts/", values), 422)
        assert 'id="id_name_error"' in page
        assert "It has a line break or another control character in it." in page
        assert 'value="lots"' in page
        assert 'value="noon"' in page
        assert revision(contest) == 1

    def test_rules_show_each_choice_on_an_example(self, superintendent, at):
        page = body(superintendent.get(f"{at}rules/"))
        assert "loses 54 of 50 and counts as −4." in page
        assert "loses 54 of 50 and counts as 0." in page
        assert "3 cards have been read." in page
        assert "Of the 3 cards read so far: 3 settled, 0 read once, 0 doubtful." in page
        assert "Of the 3 cards read so far: 0 settled, 3 read once, 0 doubtful." in page

    def test_rules_are_saved_and_settle_the_cards_anew(self, superintendent, contest, at):
        assert set(contest.classes.first().cards.values_list("state", flat=True)) == {"once"}
        values = {
            "readings": "1",
            "negative_scores": "zero",
            "unreadable_card": "lowest",
            "reasons_in_category": "False",
            "reasons_standardised": "True",
            "shown": fingerprint(plain_values(contest, RULES)),
        }
        assert send(superintendent, f"{at}rules/", values).status_code == 302
        contest.refresh_from_db()
        assert (contest.readings_per_card, contest.negative_scores, contest.reasons_in_category) == (1, "zero", False)
        assert contest.reasons_standardised
        assert set(contest.classes.first().cards.values_list("state", flat=True)) == {"settled"}

    def test_two_who_change_the_same_are_shown_theirs_and_yours(self, superintendent, contest, at):
        values = self.facts(contest, place="Mine")
        contests.change_facts(contest, "Bob", place="Theirs")
        page = body(send(superintendent, f"{at}facts/", values), 409)
        assert "<td>Theirs</td><td>Mine</td>" in page
        assert 'value="Mine"' in page
        contest.refresh_from_db()
        assert contest.place == "Theirs"
        again = values | {"shown": fingerprint(plain_values(contest, FACTS))}
        assert again["shown"] in page
        assert send(superintendent, f"{at}facts/", again).status_code == 302
        contest.refresh_from_db()
        assert contest.place == "Mine"

    def test_rules_changed_by_two_are_told_in_words(self, superintendent, contest, at):
        values = {
            "readings": "1",
            "negative_scores": "keep",
            "unreadable_card": "zero",
            "reasons_in_category": "True",
            "reasons_standardised": "False",
            "shown": fingerprint(plain_values(contest, RULES)),
        }
        contests.change_rules(contest, "Bob", same_reader_twice=True)
        page = body(send(superintendent, f"{at}rules/", values), 409)
        assert "<td>twice, by the same helper if need be</td><td>once</td>" in page


class TestRows:
    def test_a_division_is_added(self, superintendent, contest, at):
        response = send(superintendent, f"{at}divisions/new/", DIVISION)
        division = contest.divisions.get(code="IN")
        assert response.headers["Location"] == f"{at}#divisions-{division.pk}"

    def test_another_can_follow_at_once(self, superintendent, at):
        response = send(superintendent, f"{at}divisions/new/", DIVISION | {"another": "yes"})
        assert response.headers["Location"] == f"{at}divisions/new/"

    @pytest.mark.parametrize(("kind", "first"), [("divisions", "name"), ("classes", "number")])
    def test_a_new_row_opens_on_its_first_field(self, superintendent, at, kind, first):
        page = body(superintendent.get(f"{at}{kind}/new/"))
        assert re.findall(r'<input[^>]*name="(\w+)"[^>]* autofocus', page) == [first]

    def test_classes_are_typed_as_a_list(self, superintendent, contest, at):
        common = {"divisions": ["JR", "SR"], "reasons": ["SR"], "places": "True", "perfect": "50"}
        listed = {"classes": "7 Yearling ewes\n\n  Foals \n12. Two year old fillies\n"} | common
        before = contest.classes.count()
        assert send(superintendent, f"{at}classes/list/", listed).url.endswith("#classes")
        made = list(contest.classes.order_by("position"))[before:]
        assert [(judged.number, judged.name) for judged in made] == [
            (7, "Yearling ewes"),
            (8, "Foals"),
            (12, "Two year old fillies"),
        ]
        assert [judged.class_divisions.filter(gives_reasons=True).count() for judged in made] == [1, 1, 1]

    @pytest.mark.parametrize(
        ("listed", "why"),
        [
            ("7 Ewes\n7 Rams", "“7 Rams”: the list has class 7 twice."),
            ("7", "“7”: a name is missing."),
            ("7 Ewes\n1 Rams", "Class 1 is there already"),
            (" ", "Type at least one class."),
        ],
    )
    def test_of_a_list_with_a_mistake_nothing_is_added_and_what_was_typed_stays(
        self, superintendent, contest, at, listed, why
    ):
        before = contest.classes.count()
        refused = send(superintendent, f"{at}classes/list/", {"classes": listed, "places": "True", "perfect": "50"})
        assert refused.status_code == 422
        page = refused.content.decode()
        assert why in page
        assert listed.strip() in page
        assert contest.classes.count() == before

    def test_the_same_submission_twice_is_one_change(self, superintendent, contest, at):
        submission = uuid4()
        first, second = (send(superintendent, f"{at}divisions/new/", DIVISION, submission) for _ in range(2))
        assert first.headers["Location"] == second.headers["Location"]
        assert contest.divisions.filter(code="IN").count() == 1

    def test_the_same_submission_with_another_content_is_refused(self, superintendent, contest, at):
        submission = uuid4()
        send(superintendent, f"{at}divisions/new/", DIVISION, submission)
        page = body(send(superintendent, f"{at}divisions/new/", DIVISION | {"code": "XX"}, submission), 422)
        assert "sent once before, with something else in it" in page
        assert not contest.divisions.filter(code="XX").exists()

    @pytest.mark.parametrize(
        ("kind", "wrong", "words"),
        [
            ("divisions", {"code": "S R"}, "&#x27;S R&#x27; is not a code: up to 20 letters"),
            ("divisions", {"code": "SR"}, "Division SR is there already"),
            ("divisions", {"team_counting": "-1"}, "greater than or equal to 0"),
            ("categories", {"code": "Overall"}, "is already the name of a list; give the category another code"),
            ("classes", {"number": "0"}, "greater than or equal to 1"),
            ("classes", {"number": "1"}, "Class 1 is there already"),
            ("classes", {"perfect": "20000"}, "less than or equal to 10000"),
            ("classes", {"reasons": ["JR"], "divisions": ["SR"]}, "gives reasons on this class but does not judge it"),
            ("parts", {"most": ""}, "This field is required."),
            ("parts", {"code": "TASK"}, "Part TASK is there already"),
        ],
    )
    def test_what_cannot_be_is_said_beside_the_field(self, superintendent, contest, at, kind, wrong, words):
        right = {
            "divisions": DIVISION,
            "categories": {"name": "Reining", "code": "REI"},
            "classes": {"number": "3", "name": "Foals", "divisions": ["SR"], "places": "True", "perfect": "50"},
            "parts": {"name": "Test", "code": "TEST", "most": "10", "scope": "team"},
        }[kind]
        page = body(send(superintendent, f"{at}{kind}/new/", right | wrong), 422)
        assert words in page
        assert "Not saved." in page
        assert revision(contest) == 1
        assert send(superintendent, f"{at}{kind}/new/", right).status_code == 302

    def test_a_new_class_begins_with_what_is_likely(self, superintendent, at):
        page = body(superintendent.get(f"{at}classes/new/"))
        assert 'name="number" value="3"' in page
        assert 'name="perfect" value="50"' in page
        assert page.count('name="divisions" value="SR" id="id_divisions_0" checked') == 1

    def test_a_class_with_cards_warns_what_a_change_does(self, superintendent, contest, at):
        page = body(superintendent.get(f"{at}classes/{contest.classes.get(number=1).pk}/"))
        assert "3 cards of this class have been read." in page
        assert "3 cards" not in body(superintendent.get(f"{at}classes/{contest.classes.get(number=2).pk}/"))

    def test_a_row_is_changed(self, superintendent, contest, at):
        part = contest.parts.get(code="TASK")
        values = {
            "name": "Team task",
            "code": "TASK",
            "most": "60",
            "scope": "team",
            "divisions": ["JR", "SR"],
            "shown": fingerprint(values_of(part)),
        }
        response = send(superintendent, f"{at}parts/{part.pk}/", values)
        assert response.headers["Location"] == f"{at}#parts-{part.pk}"
        part.refresh_from_db()
        assert part.most == 60

    def test_two_who_change_the_same_row_are_shown_theirs_and_yours(self, superintendent, contest, at):
        judged = contest.classes.get(number=2)
        now = values_of(judged)
        values = now | {"places": "True", "name": "Mine", "reasons": ["SR"], "shown": fingerprint(now)}
        outline.change(judged, "Bob", name="Theirs", divisions=["SR", "JR"])
        page = body(send(superintendent, f"{at}classes/{judged.pk}/", values), 409)
        assert "<td>Theirs</td><td>Mine</td>" in page
        assert "<td>Senior and Junior</td><td>Senior</td>" in page
        assert "<td>none</td><td>Senior</td>" in page

    def test_a_division_in_use_by_cards_cannot_be_unticked(self, superintendent, contest, at):
        judged = contest.classes.get(number=1)
        values = values_of(judged) | {
            "places": "True",
            "divisions": ["JR"],
            "reasons": [],
            "shown": fingerprint(values_of(judged)),
        }
        page = body(send(superintendent, f"{at}classes/{judged.pk}/", values), 422)
        assert "3 cards of Senior in class 1 were read" in page


class TestRemoving:
    def test_what_is_unused_goes_after_a_question(self, superintendent, contest, at):
        part = contest.parts.get(code="QUEST")
        assert "Nothing uses it" in body(superintendent.get(f"{at}parts/{part.pk}/remove/"))
        assert contest.parts.filter(pk=part.pk).exists()
        response = send(superintendent, f"{at}parts/{part.pk}/remove/", {})
        assert response.headers["Location"] == f"{at}#parts"
        assert not contest.parts.filter(pk=part.pk).exists()

    def test_what_is_in_use_says_by_what_and_stays(self, superintendent, contest, at):
        judged = contest.classes.get(number=1)
        asked = body(superintendent.get(f"{at}classes/{judged.pk}/remove/"))
        refused = body(send(superintendent, f"{at}classes/{judged.pk}/remove/", {}), 409)
        for page in (asked, refused):
            assert "3 cards of it were read." in page
            assert "make the class void instead" in page
            assert "Remove it" not in page
        assert contest.classes.filter(pk=judged.pk).exists()

    def test_a_division_tells_what_goes_with_it(self, superintendent, contest, at):
        page = body(superintendent.get(f"{at}divisions/{contest.divisions.get(code='JR').pk}/remove/"))
        assert "Class 1 will not be judged by it any more." in page


class TestVoid:
    def test_it_asks_why(self, superintendent, contest, at):
        judged = contest.classes.get(number=1)
        address = f"{at}classes/{judged.pk}/void/"
        assert "3 cards were read; they are kept." in body(superintendent.get(address))
        for_all = {"void": "yes", "reason": "lame", "divisions": ["SR", "JR"]}
        body(send(superintendent, address, for_all | {"reason": " "}), 422)
        assert "Tick at least one division." in body(
            send(superintendent, address, {"void": "yes", "reason": "lame"}), 422
        )
        assert send(superintendent, address, for_all).status_code == 302
        judged.refresh_from_db()
        assert judged.void
        assert "class is void already" not in body(superintendent.get(address))
        assert "Class 1 is void already." in body(send(superintendent, address, for_all), 409)
        assert send(superintendent, address, {"void": "no", "reason": "well again"}).status_code == 302
        judged.refresh_from_db()
        assert not judged.void

    def test_for_one_division_alone(self, superintendent, contest, at):
        judged = contest.classes.get(number=1)
        address = f"{at}classes/{judged.pk}/void/"
        assert "Untick the divisions for which it goes on counting." in body(superintendent.get(address))
        assert send(superintendent, address, {"void": "yes", "reason": "lame", "divisions": ["JR"]}).status_code == 302
        assert "void for Junior" in body(superintendent.get(at))
        assert "count for nobody of Junior." in body(superintendent.get(f"/contests/{contest.pk}/classes/1/"))
        assert "Count it again" in body(superintendent.get(address))
        assert send(superintendent, address, {"void": "no", "reason": "well again"}).status_code == 302
        assert "void for Junior" not in body(superintendent.get(at))


class TestOrders:
    def keys(self, contest):
        return [str(key) for key in contest.classes.values_list("pk", flat=True)]

    def test_up_and_down_lead_back_to_a_button_that_still_works(self, superintendent, contest, at):
        first, second = self.keys(contest)
        values = {"shown": f"{first} {second}", "wish": f"up {second}"}
        response = send(superintendent, f"{at}classes/order/", values)
        assert self.keys(contest) == [second, first]
        assert response.headers["Location"] == f"{at}#classes-{second}-down"

    def test_a_whole_order_is_taken(self, superintendent, contest, at):
        first, second = self.keys(contest)
        send(superintendent, f"{at}classes/order/", {"shown": f"{first} {second}", "order": f"{second} {first}"})
        assert self.keys(contest) == [second, first]

    def test_an_order_made_on_an_old_page_is_refused_with_theirs_and_yours(self, superintendent, contest, at):
        first, second = self.keys(contest)
        values = {"shown": f"{second} {first}", "wish": f"down {second}"}
        page = body(send(superintendent, f"{at}classes/order/", values), 409)
        assert "Your order was: Aged geldings and Yearlings." in page
        assert self.keys(contest) == [first, second]

    @pytest.mark.parametrize("order", ["", "1", "x y", "4711 4712"])
    def test_an_order_that_is_none_is_refused(self, superintendent, contest, at, order):
        before = self.keys(contest)
        values = {"shown": " ".join(before), "order": order}
        assert "Not saved." in body(send(superintendent, f"{at}classes/order/", values), 422)
        assert self.keys(contest) == before

    def test_a_step_is_added_moved_and_taken_out(self, superintendent, contest, at):
        address = f"{at}ties/individual/"
        seen_steps = "reasons class:2 category:PER"
        send(superintendent, address, {"shown": seen_steps, "add": "part:QUEST"})
        assert steps(contest) == ["reasons", "class:2", "category:PER", "part:QUEST"]
        response = send(superintendent, address, {"shown": " ".join(steps(contest)), "wish": "up category:PER"})
        assert steps(contest) == ["reasons", "category:PER", "class:2", "part:QUEST"]
        assert response.headers["Location"] == f"{at}#ties-individual-category:PER-up"
        send(superintendent, address, {"shown": " ".join(steps(contest)), "wish": "out reasons"})
        assert steps(contest) == ["category:PER", "class:2", "part:QUEST"]

    def test_a_step_twice_is_refused(self, superintendent, contest, at):
        values = {"shown": "reasons class:2 category:PER", "add": "reasons"}
        assert "stands twice in the order" in body(send(superintendent, f"{at}ties/individual/", values), 422)

    def test_an_old_page_overwrites_no_tie_order(self, superintendent, contest, at):
        page = body(send(superintendent, f"{at}ties/individual/", {"shown": "reasons", "wish": "out reasons"}), 409)
        assert "nothing of yours was saved" in page
        assert steps(contest) == ["reasons", "class:2", "category:PER"]


class TestTeamExample:
    def test_it_shows_the_number_that_is_typed(self, superintendent, at):
        page = body(superintendent.get(f"{at}team-rules/?team_counting=4"))
        assert "Example: 4 of 5 count" in page
        assert "<html" not in page

    @pytest.mark.parametrize("typed", ["", "x", "500", "-2"])
    def test_what_has_no_example_shows_none(self, superintendent, at, typed):
        assert body(superintendent.get(f"{at}team-rules/", {"team_counting": typed})) == ""
