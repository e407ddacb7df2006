"""Rules of one class or division: full points, a least reasons score, its own minutes, and handling."""

from datetime import time
from uuid import uuid4

import pytest
from django.urls import reverse

from contest.changes.exceptions import NotPossible
from contest.entries.pages import groups_page
from contest.models import Contest, State
from contest.records.tallying import tallied
from contest.setup import classes, outline
from scoring.core.due import missing_cards
from scoring.core.margins import margins_of
from scoring.core.mixups import Look
from scoring.core.record import Card, ReasonsScore
from scoring.core.tally import tally
from scoring.prints.choice import Choice
from scoring.prints.documents.packets import build
from scoring.results.checklist import checklist
from scoring.standings.open_ends import unsettled
from scoring.standings.sheets import Sheets
from tests.factories import ClassFactory, DivisionFactory, RecordFactory, RulesFactory, a_contest, people
from tests.pages import body, on_one_line
from tests.scoring.prints.papers import html, material_of, pdf
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def two_classes(**of_the_second):
    """The second class has no key, one card of three, and that read twice differently."""
    second = {"number": 2, "name": "Foals", "official": None, "cuts": None, **of_the_second}
    return {
        "rules": RulesFactory(readings_per_card=1),
        "classes": (ClassFactory(), ClassFactory(**second)),
        "contestants": people(3, group="A"),
        "cards": (*(Card(1, number, "3124") for number in (101, 102, 103)), Card(2, 101, "3124", "3142")),
    }


def again(contest):
    return tallied(Contest.objects.get(pk=contest.pk))


def scores_of(shown, item):
    (scores,) = (scores for scores in shown.result.scores if scores.item == item)
    return dict(zip(scores.numbers, map(int, scores.points), strict=True))


def second(contest):
    return contest.classes.get(number=2)


class TestFullPoints:
    def test_they_are_given_on_the_page_that_throws_a_class_out(self, superintendent):
        contest = a_contest(**two_classes())
        address = f"/contests/{contest.pk}/setup/classes/{second(contest).pk}/void/"
        assert "Everybody has the full placing score" in body(superintendent.get(address))
        values = {"reason": "the ewe went lame", "instead": "full", "divisions": ["SR"], "submission": str(uuid4())}
        assert superintendent.post(address, values).status_code == 302
        assert last_of(contest).what == "full points for everybody in class 2, the ewe went lame"
        assert scores_of(again(contest), "class:2") == {101: 50, 102: 50, 103: 50}
        page = on_one_line(body(superintendent.get(f"/contests/{contest.pk}/classes/2/")))
        assert "everybody who is here has 50, with or without a card" in page
        setup = body(superintendent.get(f"/contests/{contest.pk}/setup/"))
        assert "full points for everybody" in setup
        assert "Let class 2 count again" in setup
        shown = body(superintendent.get(reverse("progress", args=[contest.pk])))
        assert shown.count("full points for everybody") == 1

    def test_nothing_of_such_a_class_is_missing_or_in_doubt(self):
        contest = a_contest(**two_classes())
        before = again(contest)
        contest = Contest.objects.get(pk=contest.pk)
        assert missing_cards(before.record) == {2: (102, 103)}
        assert any(item.section == "Keys" for item in checklist(contest, before))
        classes.give_full_points(second(contest), "Sue", "no fair class")
        contest, shown = Contest.objects.get(pk=contest.pk), again(contest)
        assert missing_cards(shown.record) == {}
        assert [item for item in checklist(contest, shown) if item.section in ("Keys", "Cards")] == []
        assert unsettled(contest, shown.record).items == {}
        assert second(contest).cards.get().state == State.DOUBT  # what was read is kept

    def test_it_counts_by_its_cards_again(self):
        contest = a_contest(**two_classes(official="3124", cuts=(3, 5, 2), full_points=True))
        assert scores_of(again(contest), "class:2") == {101: 50, 102: 50, 103: 50}
        with pytest.raises(NotPossible, match="thrown out already"):
            classes.give_full_points(second(contest), "Sue", "twice")
        classes.unvoid_class(second(contest), "Sue", "it was fair")
        assert scores_of(again(contest), "class:2") == {101: 50, 102: 0, 103: 0}

    @pytest.mark.parametrize("key", [{}, {"official": "3124", "cuts": (3, 5, 2)}])
    def test_with_a_key_or_without_no_card_of_it_is_looked_at(self, key):
        record = RecordFactory(**two_classes(full_points=True, **key))
        assert list(Look(record).classes) == [1]
        margins = margins_of(record, tally(record), {("SR", "overall", "individuals"): 1})
        assert {decides.field.item for decides in margins.fields} <= {"class:1"}

    def test_sheet_and_packet_say_so_in_words(self):
        record = RecordFactory(**two_classes(official="3124", cuts=(3, 5, 2), full_points=True))
        line = Sheets(record, tally(record)).contestant(102).classes[1]
        assert (line.score, line.lost, line.state) == ("50", (), "not fairly judged: full points for everybody")
        packets = build(material_of(record), Choice())["packets"]
        placing = next(p for p in packets[0]["people"] if p["number"] == 102)["classes"][1]
        assert (placing["score"], placing["state"]) == ("50", "not fairly judged: full points for everybody")


class TestLeastReasons:
    def record(self):
        return RecordFactory(
            divisions=(DivisionFactory(reasons_least=30),),
            classes=(ClassFactory(reasons=("SR",)),),
            reasons=(ReasonsScore(1, 101, "A", 2150), ReasonsScore(1, 101, "B", 4000), ReasonsScore(1, 102, "A", 3000)),
        )

    def test_it_counts_in_the_database_as_in_the_book(self):
        record = self.record()
        contest = a_contest(
            divisions=record.divisions, classes=record.classes, reasons=record.reasons, contestants=record.contestants
        )
        shown = again(contest)
        assert shown.record.divisions[0].reasons_least == 30
        assert shown.result.scores == tally(record).scores
        assert scores_of(shown, "reasons:1") == {101: 35, 102: 30, 103: 0}

    def test_the_sheet_and_the_packet_say_to_what_a_score_was_raised(self):
        record = self.record()
        given = Sheets(record, tally(record)).contestant(101).reasons[0].given
        assert given == (("A", "21.5", "", "30"), ("B", "40", "", ""))
        assert "21.5, raised to 30" in html(material_of(record), "packets", Choice(numbers=(101,)))

    def test_it_is_set_for_a_division_and_told_in_words(self, superintendent):
        contest = a_contest()
        division = contest.divisions.get()
        address = f"/contests/{contest.pk}/setup/divisions/{division.pk}/"
        values = {"name": "Senior", "code": "SR", "team_counting": "3", "short_team": "zero", "reasons_least": "30"}
        values["alternates_compete"] = "True"
        values |= {"counting_members": "fixed", "submission": str(uuid4())}
        page = superintendent.get(address)
        values["shown"] = page.context["shown"]
        assert superintendent.post(address, values).status_code == 302
        words = "A reasons score that was given counts 30 at least."
        assert words in body(superintendent.get(f"/contests/{contest.pk}/setup/"))
        assert last_of(contest).after == {"reasons_least": 30}


class TestMinutesAndHandling:
    def test_a_class_has_its_own_minutes_and_its_own_rule_on_handling(self, superintendent):
        contest = a_contest(**two_classes())
        Contest.objects.filter(pk=contest.pk).update(starts_at=time(9), minutes_per_class=12)
        outline.change(second(contest), "Sue", minutes=15, handling="forbidden")
        rounds = groups_page(Contest.objects.get(pk=contest.pk))["rounds"]
        assert [turn.ends for turn in rounds] == [time(9, 12), time(9, 27)]
        setup = on_one_line(body(superintendent.get(f"/contests/{contest.pk}/setup/")))
        assert "15 minutes; no handling" in setup
        form = body(superintendent.get(f"/contests/{contest.pk}/setup/classes/{second(contest).pk}/"))
        assert 'value="forbidden" id="id_handling_2" checked' in on_one_line(form)

    def test_the_papers_say_them(self):
        rules = {"minutes": {2: 15}, "handling": {1: "allowed", 2: "forbidden"}, "starts_at": time(9)}
        material = material_of(RecordFactory(**two_classes()), **rules)
        sheets = html(material, "group-sheets")
        assert "Animals are not handled. 15 minutes." in sheets
        assert "Animals may be handled, as far as the ring steward lets you." in sheets
        assert "09:12–09:27" in sheets
        signs = html(material, "class-signs")
        assert "Animals are not handled." in signs
        assert "The local rules and the ring steward decide." in signs
        text = pdf(material, "key-forms").text
        assert "Animals are not handled." in text
