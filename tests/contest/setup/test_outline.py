"""Divisions, categories, parts and orders: what can be changed, and what is in use."""

import pytest
from django.db.models import PROTECT

from contest.changes.exceptions import ChangedMeanwhile, InUse, NotPossible, WrongValue
from contest.models import Category, ClassDivision, Division, JudgingClass, Part, Team
from contest.records.tallying import tallied
from contest.setup import outline
from contest.setup.kinds import CATEGORIES, DIVISIONS, PARTS
from contest.setup.ties import set_tie_order, steps_offered
from contest.setup.values import fingerprint
from tests.contest.setup.cast import in_use, steps, values_of
from tests.slips import read_mark
from tests.trails import last_of

pytestmark = pytest.mark.django_db
DIVISION = {"team_counting": 3, "short_team": "zero", "counting_members": "fixed"}


@pytest.fixture
def contest():
    return in_use()


class TestDivisions:
    def test_a_new_one_stands_last_and_in_the_trail(self, contest):
        division = outline.add(DIVISIONS, contest, "Sue", code="IN", name="Intermediate", **DIVISION)
        assert contest.divisions.last() == division
        assert contest.trail.last().after == values_of(division)

    def test_a_code_twice_is_refused(self, contest):
        with pytest.raises(WrongValue, match="division SR is there already") as caught:
            outline.add(DIVISIONS, contest, "Sue", code="SR", name="Again", **DIVISION)
        assert caught.value.field == "code"
        with pytest.raises(WrongValue):
            outline.change(contest.divisions.get(code="JR"), "Sue", code="SR")

    def test_a_change_may_keep_its_own_code(self, contest):
        division = outline.change(contest.divisions.get(code="SR"), "Sue", code="SR", team_counting=4)
        assert division.team_counting == 4
        assert contest.trail.last().before == {"team_counting": 3}

    def test_one_with_contestants_stays_and_says_how_many(self, contest):
        with pytest.raises(InUse) as caught:
            outline.remove(contest.divisions.get(code="SR"), "Sue")
        assert caught.value.uses == ["3 contestants are entered in it; move them to another division first"]

    def test_one_without_contestants_goes_with_its_empty_teams_and_leaves_the_classes(self, contest):
        junior = contest.divisions.get(code="JR")
        Team.objects.create(division=junior, name="Empty")
        outline.remove(junior, "Sue")
        assert list(contest.divisions.values_list("code", flat=True)) == ["SR"]
        assert not ClassDivision.objects.filter(division__code="JR").exists()
        assert contest.classes.count() == 2
        assert contest.trail.last().before["code"] == "JR"

    def test_one_removed_meanwhile_cannot_be_changed(self, contest):
        junior = contest.divisions.get(code="JR")
        outline.remove(contest.divisions.get(code="JR"), "Bob")
        with pytest.raises(NotPossible, match="removed meanwhile"):
            outline.change(junior, "Sue", name="Juniors")

    def test_a_page_from_before_a_change_overwrites_nothing(self, contest):
        senior = contest.divisions.get(code="SR")
        mark = fingerprint(values_of(senior))
        outline.change(senior, "Bob", name="Seniors")
        with pytest.raises(ChangedMeanwhile) as caught:
            outline.change(senior, "Sue", mark, name="Old hands")
        assert caught.value.theirs["name"] == "Seniors"
        assert contest.divisions.get(code="SR").name == "Seniors"


class TestCategories:
    @pytest.mark.parametrize("code", ["overall", "Placing", "REASONS"])
    def test_the_name_of_a_list_is_refused(self, contest, code):
        with pytest.raises(WrongValue, match="already the name of a list; give the category another code"):
            outline.add(CATEGORIES, contest, "Sue", code=code, name="Mine")
        with pytest.raises(WrongValue):
            outline.change(contest.categories.get(code="HAL"), "Sue", code=code)

    def test_one_with_classes_or_parts_stays(self, contest):
        with pytest.raises(InUse) as caught:
            outline.remove(contest.categories.get(code="HAL"), "Sue")
        assert caught.value.uses == [
            "class 1 belongs to it; give it another category first",
            "Questions belongs to it; give it another category first",
        ]

    def test_one_in_a_tie_order_stays(self, contest):
        with pytest.raises(InUse, match="the tie order of individuals looks at it; take that step out"):
            outline.remove(contest.categories.get(code="PER"), "Sue")

    def test_an_unused_one_goes(self, contest):
        set_tie_order(contest, "individual", ["reasons"], "Sue")
        outline.remove(contest.categories.get(code="PER"), "Sue")
        assert list(contest.categories.values_list("code", flat=True)) == ["HAL"]


class TestParts:
    def values(self, **changed):
        return {
            "code": "TEST",
            "name": "Test",
            "category": "HAL",
            "divisions": ["JR", "SR"],
            "most": 25,
            "scope": "individual",
            "animals": "",
            "keep": 0,
            "questions": 0,
            "options": "",
            "worth": "",
        } | changed

    def test_a_new_one_has_its_category_and_divisions(self, contest):
        part = outline.add(PARTS, contest, "Sue", **self.values())
        assert values_of(part) == self.values(divisions=["SR", "JR"])

    @pytest.mark.parametrize(
        ("wrong", "field"), [({"category": "NO"}, "category"), ({"divisions": ["NO"]}, "divisions")]
    )
    def test_what_the_contest_has_not_is_refused(self, contest, wrong, field):
        with pytest.raises(WrongValue) as caught:
            outline.add(PARTS, contest, "Sue", **self.values(**wrong))
        assert caught.value.field == field
        assert not Part.objects.filter(code="TEST").exists()

    def test_with_marks_it_stays_as_far_as_they_need_it(self, contest):
        part = contest.parts.get(code="QUEST")
        read_mark(part, contest.contestants.get(number=101), 4050, "Ann")
        for field, values in (("scope", {"scope": "team"}), ("most", {"most": 40}), ("divisions", {"divisions": []})):
            with pytest.raises(WrongValue) as caught:
                outline.change(part, "Sue", **values)
            assert caught.value.field == field
        with pytest.raises(InUse, match="1 mark for it was entered"):
            outline.remove(part, "Sue")
        assert outline.change(part, "Sue", most=41, divisions=["SR", "JR"]).most == 41

    def test_one_in_a_tie_order_stays(self, contest):
        with pytest.raises(InUse, match="the tie order of teams looks at it"):
            outline.remove(contest.parts.get(code="TASK"), "Sue")

    def test_one_that_individuals_are_separated_by_cannot_become_the_teams(self, contest):
        set_tie_order(contest, "individual", ["part:QUEST"], "Sue")
        with pytest.raises(WrongValue, match="the tie order of individuals looks at it"):
            outline.change(contest.parts.get(code="QUEST"), "Sue", scope="team")

    def test_an_unused_one_goes(self, contest):
        outline.remove(contest.parts.get(code="QUEST"), "Sue")
        assert not contest.parts.filter(code="QUEST").exists()


class TestOrder:
    def keys(self, contest):
        return list(contest.classes.values_list("pk", flat=True))

    def test_a_new_order_holds_and_says_so(self, contest):
        first, second = self.keys(contest)
        outline.set_order(contest.classes.all(), [second, first], "Sue", [first, second])
        assert self.keys(contest) == [second, first]
        entry = last_of(contest)
        assert (entry.what, entry.before, entry.after) == ("order of the classes changed", ["1", "2"], ["2", "1"])

    def test_one_that_leaves_something_out_is_refused(self, contest):
        first, second = self.keys(contest)
        for order in ([first], [first, first, second], [first, second, 4711], []):
            with pytest.raises(NotPossible):
                outline.set_order(contest.classes.all(), order, "Sue")
        assert self.keys(contest) == [first, second]

    def test_one_made_on_an_old_page_is_refused(self, contest):
        first, second = self.keys(contest)
        with pytest.raises(ChangedMeanwhile):
            outline.set_order(contest.classes.all(), [first, second], "Sue", [second, first])

    def test_the_same_order_again_leaves_no_trace(self, contest):
        before = contest.revision
        outline.set_order(contest.classes.all(), self.keys(contest), "Sue")
        contest.refresh_from_db()
        assert contest.revision == before

    def test_the_standings_follow(self, contest):
        senior, junior = contest.divisions.values_list("pk", flat=True)
        outline.set_order(contest.divisions.all(), [junior, senior], "Sue")
        contest.refresh_from_db()
        assert [division.code for division in tallied(contest).record.divisions] == ["JR", "SR"]


class TestTieOrder:
    def test_a_new_order_replaces_the_old_one(self, contest):
        set_tie_order(contest, "individual", ["class:2", "part:QUEST", "best-class"], "Sue", steps(contest))
        assert steps(contest) == ["class:2", "part:QUEST", "best-class"]
        assert contest.trail.last().before == ["reasons", "class:2", "category:PER"]
        assert steps(contest, "team") == ["part:TASK"]

    @pytest.mark.parametrize(
        ("order", "why"),
        [
            (["reasons", "reasons"], "stands twice"),
            (["left-out"], "separates teams only"),
            (["part:TASK"], "is not a tie step here"),
            (["class:9"], "is not a tie step here"),
            (["class:x"], "is not a tie step here"),
            (["category:NO"], "is not a tie step here"),
            (["luck"], "is not a tie step here"),
            (["class"], "is not a tie step here"),
        ],
    )
    def test_an_order_that_makes_no_sense_is_refused(self, contest, order, why):
        with pytest.raises(NotPossible, match=why):
            set_tie_order(contest, "individual", order, "Sue")
        assert steps(contest) == ["reasons", "class:2", "category:PER"]

    def test_one_made_on_an_old_page_is_refused(self, contest):
        with pytest.raises(ChangedMeanwhile):
            set_tie_order(contest, "individual", ["reasons"], "Sue", ["reasons"])

    def test_only_steps_that_make_sense_and_are_not_there_are_offered(self, contest):
        record = tallied(contest).record
        individual = steps_offered(record, "individual")
        assert individual == ["total", "placing", "best-class", "class:1", "category:HAL", "part:QUEST"]
        assert set(steps_offered(record, "team")) - set(individual) == {
            "left-out",
            "reasons",
            "class:2",
            "category:PER",
        }

    def test_everything_offered_can_be_taken(self, contest):
        for scope in ("individual", "team"):
            offered = steps_offered(tallied(contest).record, scope)
            order = [*steps(contest, scope), *offered]
            set_tie_order(contest, scope, order, "Sue")
            assert steps(contest, scope) == order
            contest.refresh_from_db()
            assert steps_offered(tallied(contest).record, scope) == []


@pytest.mark.parametrize(
    ("model", "looked_at"),
    [
        (Division, {"ClassDivision", "Team", "Contestant"}),
        (Category, {"JudgingClass", "Part", "TieStep"}),
        (Part, {"TieStep", "Mark", "MarkReading", "Choice", "ChoiceReading"}),
        (Team, {"Contestant", "Mark", "MarkReading"}),
        (
            JudgingClass,
            {
                "ClassDivision",
                "TieStep",
                "Key",
                "Card",
                "Reading",
                "StackClaim",
                "ReasonsScore",
                "ReasonsReading",
                "Slot",
            },
        ),
    ],
)
def test_whatever_protects_a_row_is_looked_at_before_it_is_removed(model, looked_at):
    """A new table that holds on to one of these belongs in `uses`, or removing would fail without a word."""
    protecting = {
        relation.related_model.__name__
        for relation in model._meta.related_objects
        if relation.one_to_many and relation.on_delete is PROTECT
    }
    assert protecting <= looked_at
