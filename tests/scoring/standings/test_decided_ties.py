"""Ties by decision: a draw or an official's word puts rows in order that no step separates, and is shown as that."""

from dataclasses import replace
from uuid import uuid4

import pytest

from contest.book import read_book, write_book
from contest.changes.exceptions import NotPossible
from contest.models import Contest, TieDecision
from contest.records.tallying import tallied
from contest.setup.deciding import decide_tie, shared_places, take_back_decision
from scoring.core.explain import how_ties_fell, ties_in_words
from scoring.core.record import Card, DecidedTie, ReasonsScore
from scoring.core.tally import tally
from tests.factories import RecordFactory, people
from tests.pages import body
from tests.scoring.results.cast import lines_of, ready, release
from tests.trails import last_of

OF = ("SR", "overall")
WHY = "coin thrown before both coaches"


def level(*decided, numbers=(101, 102, 103)):
    """Everybody has the same card in class 1, and 104 a worse one."""
    cards = [Card(1, number, "3124") for number in numbers] + [Card(1, 104, "4213")]
    record = RecordFactory(contestants=people(4), cards=tuple(cards))
    return replace(record, decided=decided)


def draw(*order, how="draw"):
    return DecidedTie(*OF, "individuals", tuple(map(str, order)), how, WHY)


def overall(record):
    result = tally(record)
    standing = next(s for s in result.standings if (s.division, s.code) == OF)
    return result, standing, [(row.rank, row.number, row.tie) for row in standing.individuals]


class TestTally:
    def test_a_draw_separates_what_no_step_does(self):
        assert overall(level())[2][:3] == [(1, 101, "shared"), (1, 102, "shared"), (1, 103, "shared")]
        rows = overall(level(draw(102, 103, 101)))[2]
        assert rows == [(1, 102, "draw"), (2, 103, "draw"), (3, 101, "draw"), (4, 104, "")]
        assert overall(level(draw(102, 103, 101, how="word")))[2][0] == (1, 102, "word")

    @pytest.mark.parametrize("order", [(102, 101), (101, 102, 103, 104), (102, 103, 104)])
    def test_it_says_nothing_unless_it_names_just_those_who_are_level(self, order):
        assert overall(level(draw(*order)))[2] == overall(level())[2]

    def test_it_holds_in_its_own_list_alone(self):
        record = level(draw(102, 103, 101))
        placing = next(s for s in tally(record).standings if s.code == "placing")
        assert [row.tie for row in placing.individuals] == ["shared", "shared", "shared", ""]

    def test_it_is_explained_with_how_and_why(self):
        record = level(draw(102, 103, 101))
        result, standing, _rows = overall(record)
        said, _teams = how_ties_fell(record, result, standing)
        assert said[0] == f"level at 50; ahead of 103 by draw: {WHY}"
        assert said[1] == f"level at 50; behind 102 by draw: {WHY}; ahead of 101 by draw: {WHY}"
        assert ties_in_words(record)["draw"] == "decided by draw"

    def test_the_book_keeps_it(self, tmp_path):
        record = level(draw(102, 103, 101))
        write_book(record, tmp_path / "book")
        assert read_book(tmp_path / "book").decided == record.decided


@pytest.fixture
def contest(db):
    """101 to 104 share the first place of everything."""
    cards = tuple(Card(judged, number, "3124", "3124") for number in (101, 102, 103, 104) for judged in (1, 2))
    reasons = tuple(ReasonsScore(1, number, "A", 4000) for number in (101, 102, 103, 104))
    return ready(cards=cards, reasons=reasons)


ORDER = ["103", "101", "104", "102"]


def now(contest):
    return tallied(Contest.objects.get(pk=contest.pk))


class TestDeciding:
    def test_it_is_in_the_trail_ends_the_checklists_line_and_is_announced(self, contest):
        before = lines_of(contest)
        decide_tie(contest, "Sue", *OF, "individuals", ORDER, "draw", WHY)
        assert last_of(contest).what == f"tie decided by draw, 103, 101, 104, 102: {WHY}"
        gone = set(before) - set(lines_of(contest))
        assert len(gone) == 1
        assert "101, 102, 103 and 104" in gone.pop()
        assert not [place for place in shared_places(now(contest).result, *OF) if place.kind == "individuals"]
        release(contest)
        from scoring.announced.released import released

        announced = released(Contest.objects.get(pk=contest.pk))
        assert [row.number for row in announced.result.standings[0].individuals] == [103, 101, 104, 102]

    @pytest.mark.parametrize("order", [["101", "102"], ["101", "101", "102", "103"], []])
    def test_only_those_who_share_a_place_are_put_in_order(self, contest, order):
        with pytest.raises(NotPossible, match="do not share a place"):
            decide_tie(contest, "Sue", *OF, "individuals", order, "draw", WHY)

    def test_it_asks_why(self, contest):
        with pytest.raises(NotPossible, match="say why"):
            decide_tie(contest, "Sue", *OF, "individuals", ORDER, "draw", " ")

    def test_taken_back_they_share_their_place_again(self, contest):
        made = decide_tie(contest, "Sue", *OF, "individuals", ORDER, "word", WHY)
        take_back_decision(made, "Sue")
        assert {row.tie for row in now(contest).result.standings[0].individuals} == {"shared"}
        with pytest.raises(NotPossible, match="taken back already"):
            take_back_decision(made, "Sue")


class TestPages:
    def send(self, superintendent, contest, **fields):
        address = f"/contests/{contest.pk}/standings/SR/overall/ties/"
        return superintendent.post(address, {"submission": str(uuid4()), **fields})

    def test_it_is_decided_and_taken_back_on_a_page_that_the_list_leads_to(self, superintendent, contest):
        list_page = f"/contests/{contest.pk}/standings/SR/overall/"
        assert f'href="{list_page}ties/"' in body(superintendent.get(list_page))
        form = {"kind": "individuals", "who": ["101", "102", "103", "104"], "how": "draw", "reason": WHY}
        refused = self.send(superintendent, contest, **form, place=["1", "2", "2", "3"])
        assert "Number them from 1 to 4" in body(refused, 422)
        assert f'value="{WHY}"' in refused.content.decode()
        no_how = {name: value for name, value in form.items() if name != "how"} | {"place": ["2", "4", "1", "3"]}
        assert "Say whether it was a draw" in body(self.send(superintendent, contest, **no_how), 422)
        assert self.send(superintendent, contest, **form, place=["2", "4", "1", "3"]).status_code == 302
        assert TieDecision.objects.get().order == ORDER
        page = body(superintendent.get(list_page))
        assert f"ahead of 101 by draw: {WHY}" in page
        made = TieDecision.objects.get()
        assert self.send(superintendent, contest, act="back", decision=made.pk).status_code == 302
        assert not TieDecision.objects.exists()
        assert self.send(superintendent, contest, act="back", decision="x").status_code == 404

    def test_two_contestants_stand_side_by_side(self, superintendent):
        contest = ready()
        address = f"/contests/{contest.pk}/standings/side-by-side/"
        assert f'href="{address}?one=101"' in body(
            superintendent.get(f"/contests/{contest.pk}/standings/contestants/101/")
        )
        assert "Nobody has number 999." in body(superintendent.get(address, {"one": "101", "other": "999"}))
        page = body(superintendent.get(address, {"one": "101", "other": "102"}))
        assert "Class 1, Aged geldings" in page
        assert "official 3124" in page
        assert "3 over 1 was 1 over 3: −3" in page
        assert "1 of 4" in page
        assert "3 of 4" in page
