"""Sets of results: who is in which, and what is made of them from the set-up to the packets."""

import re

import pytest
from django.db import IntegrityError
from django.urls import reverse

from contest.changes.exceptions import NotPossible
from contest.entries import people as entries
from contest.entries.entered import values_of
from contest.entries.plan import Values
from contest.entries.sets import in_no_set, numbers_named, put_in_set, set_sets, take_out_of_set
from contest.history.taking_back import take_back_change
from contest.models import Contest, ResultSet, SetMember
from contest.records.left_behind import left_behind
from contest.records.loading import load_record
from contest.records.tallying import tallied
from contest.setup import outline
from contest.setup.kinds import SETS
from scoring.announced.released import released
from scoring.board.awards import named_lists
from scoring.core.record import Card
from scoring.core.record import ResultSet as PureSet
from scoring.core.record import SetMember as PureMember
from scoring.prints.choice import Choice
from scoring.prints.documents import awards, packets
from scoring.prints.gathering import gather_material
from scoring.prints.ribbons import fingerprint, set_ribbons
from scoring.results.checklist import checklist
from scoring.results.release import release_results
from tests.contest.entries.cast import contestant, submission, two_divisions
from tests.contest.entries.looking import base, hidden, text
from tests.factories import RulesFactory, a_contest, people
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest(db):
    """Four of one team in one division: 101 to 103 in the clubs, 103 and 104 in the chapters."""
    cards = tuple(
        Card(1, number, placing)
        for number, placing in zip(range(101, 105), ("3124", "3142", "3214", "1324"), strict=True)
    )
    members = (("4H", 101), ("4H", 102), ("4H", 103), ("CH", 103), ("CH", 104))
    return a_contest(
        rules=RulesFactory(readings_per_card=1),
        contestants=people(4),
        cards=cards,
        sets=(PureSet("4H", "Clubs"), PureSet("CH", "Chapters")),
        members=tuple(sorted((PureMember(*member) for member in members), key=lambda one: one.number)),
    )


def again(contest):
    return Contest.objects.get(pk=contest.pk)


def members(contest):
    return [(one.set, one.number, one.team) for one in load_record(contest.pk)[1].members]


def ranks(contest, division):
    result = tallied(again(contest)).result
    standing = next(one for one in result.standings if (one.division, one.code) == (division, "overall"))
    return [(row.rank, row.number) for row in standing.individuals]


class TestSettingUp:
    def test_the_first_set_begins_with_everybody_and_the_next_with_nobody(self):
        contest = two_divisions()
        first = outline.add(SETS, contest, "Sue", code="OPEN", name="Open")
        outline.add(SETS, contest, "Sue", code="QUAL", name="Qualifier")
        assert [number for of, number, _team in members(contest) if of == "OPEN"] == [101, 102, 103, 104, 105]
        assert not [number for of, number, _team in members(contest) if of == "QUAL"]
        assert ranks(contest, "SR@OPEN") == [(1, 101), (1, 102), (1, 103)]
        outline.remove(first, "Sue")
        assert in_no_set(again(contest)) == [101, 102, 103, 104, 105]
        assert take_back_change(last_entry(contest), "Sue")
        assert len(members(contest)) == 5

    def test_a_set_with_ribbons_of_its_own_stays(self, contest):
        of = contest.sets.get(code="CH")
        set_ribbons(contest, {1: ("Best chapter", "gold")}, "Sue", fingerprint({}), of)
        with pytest.raises(NotPossible, match="it has ribbons of its own"):
            outline.remove(of, "Sue")


def last_entry(contest):
    return contest.trail.order_by("revision").last()


class TestPuttingIn:
    def test_many_are_put_in_and_taken_out_at_once(self, contest):
        of = contest.sets.get(code="CH")
        assert put_in_set(of, numbers_named("101-102, 104"), "Sue") == 2
        assert last_of(contest).what == "2 put into set of results CH"
        assert [number for code, number, _team in members(contest) if code == "CH"] == [101, 102, 103, 104]
        assert take_out_of_set(of, None, "Sue") == 4
        assert take_back_change(last_entry(contest), "Sue")
        assert len(members(contest)) == 7

    @pytest.mark.parametrize(
        ("typed", "told"), [("101-999999", "names none, or too many"), ("one", "is no number"), ("105-101", "none, or")]
    )
    def test_what_names_no_numbers_is_refused(self, typed, told):
        with pytest.raises(NotPossible, match=told):
            numbers_named(typed)

    def test_a_number_that_nobody_has_puts_nobody_in(self, contest):
        with pytest.raises(NotPossible, match="nobody has number 999 here"):
            put_in_set(contest.sets.get(code="CH"), [101, 999], "Sue")
        assert len(members(contest)) == 5

    def test_somebody_is_in_several_for_another_team_in_one(self, contest):
        set_sets(contestant(contest, 101), "4H; CH = Ash Valley", "Sue", shown="4H")
        assert ("CH", 101, "Ash Valley") in members(contest)
        assert values_of(contestant(contest, 101)).result_sets == "4H; CH = Ash Valley"
        with pytest.raises(NotPossible, match="changed which sets"):
            set_sets(contestant(contest, 101), "", "Sue", shown="4H")
        with pytest.raises(NotPossible, match="'FFA' is no set of results"):
            set_sets(contestant(contest, 101), "FFA", "Sue")

    def test_the_database_holds_a_member_once_and_to_one_contest(self, contest):
        other = two_divisions()
        of = ResultSet.objects.create(contest=other, position=0, code="X", name="X")
        with pytest.raises(IntegrityError, match="would be of two contests"):
            SetMember.objects.create(result_set=of, contestant=contestant(contest, 101))

    def test_a_walk_up_is_entered_into_the_sets_that_are_named(self, contest):
        entries.add_contestant(contest, Values(110, "SR", result_sets="CH"), "Sue")
        assert ("CH", 110, "") in members(contest)


@pytest.mark.any_database
class TestPages:
    def test_the_list_shows_and_narrows_by_set(self, contest, superintendent):
        page = superintendent.get(base(contest))
        assert "4H; CH" in text(page)
        shown = text(superintendent.get(base(contest), {"set": "CH"}))
        assert "Given103x" in shown
        assert "Given101x" not in shown
        take_out_of_set(contest.sets.get(code="4H"), [101], "Sue")
        assert "Given101x" in text(superintendent.get(base(contest), {"set": "-"}))
        assert "101 is in no set, and so in no list." in text(superintendent.get(f"{base(contest)}sets/"))

    def test_the_page_of_sets_puts_in_takes_out_and_offers_to_take_back(self, contest, superintendent):
        of = contest.sets.get(code="CH")
        at = reverse("entries-sets-put", args=[contest.pk, of.pk])
        page = superintendent.post(at, submission(who="", division="SR", do="in"), follow=True)
        assert "2 are put into Chapters." in text(page)
        assert "Take it back" in text(page) or "Take back" in text(page)
        assert superintendent.post(at, submission(who="x", do="out")).status_code == 422
        assert superintendent.get(at).status_code == 405

    def test_somebodys_page_ticks_their_sets(self, contest, superintendent):
        who, of = contestant(contest, 104), contest.sets.get(code="4H")
        page = superintendent.get(reverse("entry", args=[contest.pk, who.pk]))
        sent = submission(**{"sets-shown": hidden(page, "sets-shown"), f"sets-in_{of.pk}": "on"})
        sent[f"sets-team_{of.pk}"] = "Ash Valley"
        page = superintendent.post(reverse("entry-sets", args=[contest.pk, who.pk]), sent, follow=True)
        assert "104: saved the sets of results." in text(page)
        assert [one for one in members(contest) if one[1] == 104] == [("4H", 104, "Ash Valley")]

    def test_an_entry_list_says_who_is_in_which(self, contest, superintendent):
        rows = "number,first name,last name,team,division,sets\n101,,,,,4H CH\n110,Ann,Lee,Elm,Senior,CH = Oak\n"
        page = superintendent.post(f"{base(contest)}load/", submission(text=rows), follow=True)
        fields = dict(re.findall(r'name="([^"]+)"[^>]*value="([^"]*)"', page.content.decode()))
        assert "4H; CH" in text(page)
        assert "column-5" in page.content.decode() and fields

    def test_standings_choose_between_sets(self, contest, superintendent):
        page = superintendent.get(reverse("standings", args=[contest.pk]))
        assert "Clubs, Senior" in text(page)
        page = superintendent.get(reverse("standings-list", args=[contest.pk, "SR@CH", "overall"]))
        assert "Given104x" in text(page)
        assert "Given101x" not in text(page)
        sheet = text(superintendent.get(reverse("standings-contestant", args=[contest.pk, 103])))
        assert "Clubs, Overall" in sheet
        assert "Chapters, Overall" in sheet
        team = contest.divisions.get().teams.get()
        assert "Chapters, Overall" in text(
            superintendent.get(reverse("standings-team", args=[contest.pk, "SR", team.pk]))
        )


@pytest.mark.any_database
def test_release_awards_ribbons_and_packets_go_by_set(contest, client):
    set_ribbons(contest, {1: ("Best chapter", "gold")}, "Sue", fingerprint({}), contest.sets.get(code="CH"))
    take_out_of_set(contest.sets.get(code="4H"), [102], "Sue")
    lines = checklist(again(contest), tallied(again(contest)))
    assert "102 is in no set of results, and so in no list" in [str(item.text) for item in lines]
    looked_at = {item.key: "looked at" for item in lines}
    release_results(again(contest), "Sue", looked_at)
    announced = released(again(contest))
    assert [str(named) for named in named_lists(announced.record, announced.result)][:2] == [
        "Clubs, Senior, Overall, individuals",
        "Clubs, Senior, Overall, teams",
    ]
    material = gather_material(contest.pk, awards.AWARD_SHEETS)
    sheets = awards.award_sheets(material, Choice(lists=("@CH",)))["sheets"]
    given = [(sheet["number"], sheet["place"]) for sheet in sheets if sheet["kind"] == "individuals"]
    assert set(given) == {(104, "Best chapter")}  # as many places as the set has ribbons
    assert {sheet["list"].split(",")[0] for sheet in sheets} == {"Chapters"}
    packet = packets.build(gather_material(contest.pk, packets.DOCUMENT), Choice())["packets"][0]
    of_103 = next(person for person in packet["people"] if person["number"] == 103)
    assert [line["name"] for line in of_103["lists"]] == [
        *("Clubs, Overall", "Clubs, Placing"),
        *("Chapters, Overall", "Chapters, Placing"),
    ]
    public = text(client.get(reverse("public-results", args=[contest.pk])))
    assert "Chapters, Senior" in public


def test_a_book_leaves_nothing_of_sets_behind(contest):
    assert left_behind(contest) == ""
    assert ("CH", 103, "") in members(contest)
