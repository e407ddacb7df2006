"""Who may win what: barred, not ranked as they asked, and alternates; the team counts on."""

from dataclasses import replace
from uuid import uuid4

import pytest
from django.urls import reverse

from contest.book import read_book, write_book
from contest.changes.exceptions import NotPossible
from contest.entries import people as entries
from contest.entries.team_pages import division_shown
from contest.models import Contest, Contestant
from contest.records.loading import load_record
from contest.records.tallying import tallied
from contest.row_changes.stamping import unrecorded
from contest.setup import outline
from scoring.announced.released import released
from scoring.board.awards import named_lists, rows_of
from scoring.core.margins import margins_of
from scoring.core.record import Card
from scoring.core.tally import tally
from scoring.prints.choice import Choice
from scoring.prints.documents.packets import build
from scoring.results.release import release_results
from scoring.standings.sheets import Sheets
from tests.factories import DivisionFactory, RecordFactory, RulesFactory, a_contest, people
from tests.pages import body, on_one_line
from tests.scoring.prints.papers import material_of
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

PLACINGS = ("3124", "3142", "1324", "4213")
"""From the best card down: 50, 48, 47, and a poor one."""


def four(**more):
    """A team of four, of whom three count, each with a card of its own worth."""
    here = people(4)
    cards = tuple(Card(1, person.number, placing) for person, placing in zip(here, PLACINGS, strict=True))
    return {"contestants": here, "cards": cards, "rules": RulesFactory(readings_per_card=1), **more}


def again(contest):
    return tallied(Contest.objects.get(pk=contest.pk))


def who(contest, number):
    return contest.contestants.get(number=number)


def overall(result):
    return next(standing for standing in result.standings if standing.code == "overall")


def ranks(result):
    return [(row.rank, row.number) for row in overall(result).individuals]


class TestNotRanked:
    def test_lists_of_individuals_pass_over_them_and_the_team_counts_them(self):
        contest = a_contest(**four())
        before = overall(again(contest).result)
        entries.set_unranked(who(contest, 101), "barred", "champion last year", "Sue")
        result = again(contest).result
        assert ranks(result) == [(1, 102), (2, 103), (3, 104)]
        assert overall(result).teams == before.teams
        assert overall(result).teams[0].counting == (101, 102, 103)
        assert [(row.number, int(row.total)) for row in overall(result).apart] == [(101, 50)]
        awarded = {
            row.number for named in named_lists(again(contest).record, result) for row in rows_of(result, named.key)
        }
        assert 101 not in awarded
        assert last_of(contest).what == "contestant 101: may not win an individual award"

    def test_sheet_packet_and_team_still_have_their_scores(self):
        record = RecordFactory(**four())
        first, *others = record.contestants
        record = replace(record, contestants=(first._replace(ranked=False), *others))
        sheets = Sheets(record, tally(record))
        line = sheets.contestant(101).ranks[0]
        assert (line.rank, line.total, line.counts) == (0, "50", True)
        assert sheets.team("SR", "Barley Hill").lines[-1].cells[0].points == "50"
        packet = build(material_of(record), Choice())["packets"][0]
        lists = next(person for person in packet["people"] if person["number"] == 101)["lists"]
        assert (lists[0]["total"], lists[0]["rank"], lists[0]["among"]) == ("50", "not ranked", "")
        assert packet["team"]["members"][0]["totals"][0] == ("50", "not ranked")
        assert margins_of(record, tally(record), {("SR", "overall", "individuals"): 3}).awards[0].holder == "102"

    def test_a_book_and_a_release_know_it_and_never_why(self, tmp_path):
        contest = a_contest(**four())
        entries.set_unranked(who(contest, 102), "asked", "the family asked", "Sue")
        shown = again(contest)
        write_book(shown.record, tmp_path)
        assert read_book(tmp_path) == shown.record
        text = (tmp_path / "entries.csv").read_text()
        assert "ranked" in text
        assert "family asked" not in text
        release_results(Contest.objects.get(pk=contest.pk), "Sue")
        assert ranks(released(Contest.objects.get(pk=contest.pk)).result) == [(1, 101), (2, 103), (3, 104)]
        copy = a_contest(**{name: getattr(shown.record, name) for name in ("rules", "contestants", "cards")})
        assert copy.contestants.get(number=102).unranked == Contestant.Unranked.ASKED

    def test_it_is_set_on_the_page_and_a_bar_takes_a_reason(self, superintendent):
        contest = a_contest(**four())
        at = reverse("entry-unranked", args=[contest.pk, who(contest, 101).pk])
        values = {"unranked-unranked": "barred", "unranked-reason": "", "submission": str(uuid4())}
        assert "Say why they may not win" in body(superintendent.post(at, values), 422)
        values |= {"unranked-reason": "champion last year", "submission": str(uuid4())}
        assert superintendent.post(at, values).status_code == 302
        page = on_one_line(body(superintendent.get(reverse("entry", args=[contest.pk, who(contest, 101).pk]))))
        setup = body(superintendent.get(reverse("setup", args=[contest.pk])))
        assert "Not in the book: why somebody is not ranked." in setup
        assert '<span class="state">may not win an individual award</span>' in page
        listed = body(superintendent.get(reverse("entries", args=[contest.pk]) + "?state=unranked"))
        assert "Given101x" in listed
        assert "Given102x" not in listed


class TestAlternates:
    def test_an_alternate_does_not_count_for_the_team_and_competes_alone_where_the_rules_say_so(self):
        contest = a_contest(**four())
        with unrecorded():
            Contestant.objects.filter(number=101).update(alternate=True)
        result = tally(load_record(contest.pk)[1])
        assert overall(result).teams[0].counting == (102, 103, 104)
        assert ranks(result)[0] == (1, 101)
        outline.change(contest.divisions.get(), "Sue", alternates_compete=False)
        result = again(contest).result
        assert ranks(result) == [(1, 102), (2, 103), (3, 104)]

    def test_nobody_is_put_in_or_out_by_their_scores(self):
        contest = a_contest(**four(cards=()))
        entries.set_alternate(who(contest, 104), True, "Sue")
        assert last_of(contest).what == "contestant 104: alternate of the team"
        (team,) = division_shown(contest.divisions.get())["teams"]
        assert team.present == 3
        entries.set_alternate(who(contest, 104), False, "Sue")
        assert last_of(contest).what == "contestant 104: member of the team instead of its alternate"
        scored = a_contest(**four())
        with pytest.raises(NotPossible, match="was read already"):
            entries.set_alternate(who(scored, 104), True, "Sue")

    def test_who_leaves_the_team_is_no_alternate(self):
        contest = a_contest(**four(cards=()))
        entries.set_alternate(who(contest, 104), True, "Sue")
        entries.move_contestant(who(contest, 104), contest.divisions.get(), "", "Sue")
        assert not who(contest, 104).alternate


def test_the_best_of_a_team_of_twenty_are_chosen_after_scoring():
    here = people(20)
    cards = tuple(Card(1, person.number, PLACINGS[0 if person.number > 116 else 3]) for person in here)
    record = RecordFactory(contestants=here, cards=cards, divisions=(DivisionFactory(team_counting=4),))
    assert overall(tally(record)).teams[0].counting == (117, 118, 119, 120)
