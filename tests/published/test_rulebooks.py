"""Rules of published rulebooks, each played by a small invented contest; the source stands beside each."""

from __future__ import annotations

import pytest

from scoring.core.record import NO_CARD, UNREADABLE, Part
from scoring.core.tally import tally
from tests.published.sheets import contest, counting, individuals, judged, lists, part, teams


@pytest.mark.parametrize(
    ("unreadable_card", "placing", "points"),
    [
        # Univ. of Missouri, poultry judging revisions (1998-2000 draft): more than one placing marked, the lowest
        # possible score for that class; no placing marked, 0. The lowest of 3-5-2 is 50 - 35 (arithmetic).
        ("lowest", UNREADABLE, 15),
        ("lowest", NO_CARD, 0),
        # LSU AgCenter 4-H meat identification and judging slides: a blank or mismarked card, 0.
        ("zero", UNREADABLE, 0),
        ("zero", NO_CARD, 0),
    ],
)
def test_a_card_that_cannot_be_read_earns_what_the_rulebook_says(unreadable_card, placing, points) -> None:
    record = contest({1: ("", {"class:1": placing})}, (judged(1),), unreadable_card=unreadable_card)
    assert individuals(record) == [(1, 1, points, "")]


@pytest.mark.parametrize(
    ("negative_scores", "placing", "points"),
    [
        # Maryland, "Scoring of Contests": scores below zero may result (3-9-3); no text read mentions a floor at 0,
        # so the floor is common practice without a source.
        ("keep", "4321", -4),
        ("keep", UNREADABLE, -4),
        ("zero", "4321", 0),
        ("zero", UNREADABLE, 0),
    ],
)
def test_a_score_below_zero_is_kept_or_floored(negative_scores, placing, points) -> None:
    rules = {"negative_scores": negative_scores, "unreadable_card": "lowest"}
    record = contest({1: ("", {"class:1": placing})}, (judged(1, cuts=(3, 9, 3)),), **rules)
    assert individuals(record) == [(1, 1, points, "")]


FOUR = {
    1: ("Oak", {"part:TEST": 100}),
    2: ("Oak", {"part:TEST": 90}),
    3: ("Oak", {"part:TEST": 80}),
    4: ("Oak", {"part:TEST": 70}),
}
THREE = {number: FOUR[number] for number in (1, 2, 3)}
TWO = {number: FOUR[number] for number in (1, 2)}


@pytest.mark.parametrize(
    ("sheets", "rules", "expected"),
    [
        # Nebraska 4-H horse; CATA light horse 2002: three or four members, the top three totals count.
        (FOUR, {"counting": 3}, [(1, "Oak", 270, "")]),
        (THREE, {"counting": 3}, [(1, "Oak", 270, "")]),
        # National FFA livestock 2017-21; CATA livestock 2014: four members, all four count.
        (FOUR, {"counting": 4}, [(1, "Oak", 340, "")]),
        # North Carolina FFA 2015: three or four members, four scores count; a team of three takes 0 for the fourth.
        (THREE, {"counting": 4, "short_team": "zero"}, [(1, "Oak", 270, "")]),
        # Georgia 4-H: fewer than three members compete as individuals only.
        (TWO, {"counting": 3, "short_team": "unranked"}, []),
        (THREE, {"counting": 3, "short_team": "unranked"}, [(1, "Oak", 270, "")]),
        # NACTA livestock 2015: every member counts.
        (FOUR, {"counting": 0}, [(1, "Oak", 340, "")]),
        (TWO, {"counting": 0, "short_team": "unranked"}, [(1, "Oak", 190, "")]),
    ],
)
def test_as_many_members_count_as_the_rulebook_says(sheets, rules, expected) -> None:
    assert teams(contest(sheets, parts=(part("TEST"),), **rules)) == expected


def test_the_best_three_of_twenty_count() -> None:
    # Georgia 4-H: the best three of up to twenty a county, chosen after scoring.
    county = {number: ("County", {"part:TEST": number}) for number in range(1, 21)}
    record = contest(county, parts=(part("TEST"),))
    assert teams(record) == [(1, "County", 18 + 19 + 20, "")]
    assert counting(record) == {"County": (18, 19, 20)}


BEEF_AND_SWINE = {
    1: ("Oak", {"part:BEEF": 50, "part:SWINE": 10}),
    2: ("Oak", {"part:BEEF": 40, "part:SWINE": 40}),
    3: ("Oak", {"part:BEEF": 30, "part:SWINE": 35}),
    4: ("Oak", {"part:BEEF": 10, "part:SWINE": 49}),
}
BEEF_AND_SWINE_PARTS = (part("BEEF", category="B"), part("SWINE", category="S"))


def test_members_who_count_are_chosen_anew_in_every_list() -> None:
    # National 4-H Meat Identification and Judging (AMSA): counting members are chosen per division and for the
    # total; the fourth in each is its alternate.
    record = contest(BEEF_AND_SWINE, parts=BEEF_AND_SWINE_PARTS, members="each")
    assert [counting(record, code)["Oak"] for code in ("overall", "B", "S")] == [(1, 2, 3), (1, 2, 3), (2, 3, 4)]
    assert teams(record, "S") == [(1, "Oak", 40 + 35 + 49, "")]


def test_the_same_three_members_count_in_every_list() -> None:
    # CATA light horse 2002 and livestock 2008: the same three members in every sub-contest. Number 4's total of 59 is
    # the lowest, so the 49 in swine is not counted.
    record = contest(BEEF_AND_SWINE, parts=BEEF_AND_SWINE_PARTS, members="fixed")
    assert [counting(record, code)["Oak"] for code in ("overall", "B", "S")] == [(1, 2, 3)] * 3
    assert teams(record, "S") == [(1, "Oak", 10 + 40 + 35, "")]


def test_a_reasons_score_counts_in_its_category_and_in_reasons() -> None:
    # CATA light horse 2002: halter and performance include their reasons; the reasons list counts all sets.
    classes = (judged(1, "HAL"), judged(2, "PERF"), judged(3, "PERF", reasons=()))
    sheet = {"class:1": "1234", "reasons:1": 44, "class:2": "2134", "reasons:2": 42, "class:3": "1234"}
    record = contest({1: ("", sheet)}, classes)
    totals = {code: float(standing.individuals[0].total) for code, standing in lists(record).items()}
    assert totals == {"overall": 233, "placing": 147, "reasons": 86, "HAL": 94, "PERF": 47 + 42 + 50}


def test_a_perfect_light_horse_contest_is_500_and_1500() -> None:
    # CATA light horse 2002: six placing classes and four sets of reasons; 500 for an individual, 1500 for a team.
    classes = tuple(
        judged(n, "HAL" if n <= 3 else "PERF", reasons=("SR",) if n in (1, 2, 4, 5) else ()) for n in range(1, 7)
    )
    perfect = {f"class:{n}": "1234" for n in range(1, 7)} | {f"reasons:{n}": 50 for n in (1, 2, 4, 5)}
    record = contest(dict.fromkeys((1, 2, 3, 4), ("Oak", perfect)), classes)
    assert [row[2] for row in individuals(record)] == [500] * 4
    assert teams(record) == [(1, "Oak", 1500, "")]


def test_a_division_without_reasons_has_no_reasons_list() -> None:
    # Nebraska State Fair 4-H dairy: juniors give no reasons.
    record = contest({1: ("", {"class:1": "1234"})}, (judged(1, reasons=()),))
    assert list(lists(record)) == ["overall", "placing"]


def test_a_reasons_only_class_gives_no_placing_score() -> None:
    # Colorado 4-H consumer choices: two classes with reasons scored and no placing score.
    record = contest({1: ("", {"reasons:1": 45})}, (judged(1, places=False, official=None, cuts=None),))
    assert list(lists(record)) == ["overall", "reasons"]
    assert individuals(record) == [(1, 1, 45, "")]
    assert [scores.item for scores in tally(record).scores] == ["reasons:1"]


TENNESSEE = {"individual": ("reasons", "class:2"), "team": ("reasons", "class:2", "left-out")}
TWO_CLASSES = (judged(1), judged(2, reasons=()))


def person(first: str, second: str, reasons: float) -> dict[str, str | float]:
    return {"class:1": first, "class:2": second, "reasons:1": reasons}


@pytest.mark.parametrize(
    ("one", "two", "expected"),
    [
        # Cuts 3-5-2: 2134 scores 47, 1243 scores 48, 2143 scores 45.
        # Reasons decide first: both have 142.
        (person("2134", "1234", 45), person("1234", "1234", 42), [(1, 1, 142, "reasons"), (2, 2, 142, "reasons")]),
        # Reasons alike, then class 2 decides: both have 139.
        (person("1234", "2134", 42), person("2134", "1234", 42), [(1, 2, 139, "class:2"), (2, 1, 139, "class:2")]),
        # Everything alike. What follows the last step was not found in print; sharing the rank is the format's rule.
        (person("1234", "2134", 42), person("1234", "2134", 42), [(1, 1, 139, "shared"), (1, 2, 139, "shared")]),
    ],
)
def test_ties_of_individuals_break_by_reasons_then_by_the_named_class(one, two, expected) -> None:
    # Tennessee 4-H dairy and poultry: 1 reasons score, 2 the tie-breaker class that the officials name at the start.
    assert individuals(contest({1: ("", one), 2: ("", two)}, TWO_CLASSES, **TENNESSEE)) == expected


LIKE = person("1234", "2134", 42)  # 139


@pytest.mark.parametrize(
    ("elm", "oak", "expected"),
    [
        # 142 each; Oak has three points more of reasons
        (
            [person("1234", "1234", 42), LIKE],
            [person("2134", "1234", 45), LIKE],
            [("Oak", "reasons"), ("Elm", "reasons")],
        ),
        # reasons alike, and class 2 decides
        (
            [person("1234", "2134", 42), LIKE],
            [person("2134", "1234", 42), LIKE],
            [("Oak", "class:2"), ("Elm", "class:2")],
        ),
        # both alike, and the alternate of Elm is better: 139 against 136
        ([LIKE, LIKE], [LIKE, person("2134", "2134", 42)], [("Elm", "left-out"), ("Oak", "left-out")]),
        # a team without an alternate has 0 there
        ([LIKE], [LIKE, person("4321", "4321", 0)], [("Oak", "left-out"), ("Elm", "left-out")]),
        ([LIKE, LIKE], [LIKE, LIKE], [("Elm", "shared"), ("Oak", "shared")]),
    ],
)
def test_ties_of_teams_break_by_reasons_then_the_class_then_the_alternate(elm, oak, expected) -> None:
    # Tennessee 4-H dairy and poultry: as for individuals, then 3 the alternate's score. One member counts here, so that
    # the second is the alternate.
    sheets = {number: ("Elm", sheet) for number, sheet in enumerate(elm, 1)}
    sheets |= {number: ("Oak", sheet) for number, sheet in enumerate(oak, 11)}
    record = contest(sheets, TWO_CLASSES, counting=1, **TENNESSEE)
    assert [(team, tie) for _, team, _, tie in teams(record)] == expected


@pytest.mark.parametrize(
    ("one", "two", "decided_by"),
    [
        # Both 142: reasons 45 against 42.
        (
            {"class:1": "2134", "reasons:1": 45, "part:KEEP": 50},
            {"class:1": "1234", "reasons:1": 42, "part:KEEP": 50},
            "reasons",
        ),
        # Reasons alike: placing 50 against 47.
        (
            {"class:1": "1234", "reasons:1": 45, "part:KEEP": 47},
            {"class:1": "2134", "reasons:1": 45, "part:KEEP": 50},
            "placing",
        ),
    ],
)
def test_ties_break_by_reasons_then_by_all_placings(one, two, decided_by) -> None:
    # Livestock contest summary of All Ag Online: 1 oral reasons, 2 placing total, 3 keep/cull total. Where the first
    # two and the total are alike, the third is too.
    order = ("reasons", "placing", "part:KEEP")
    record = contest({1: ("", one), 2: ("", two)}, (judged(1),), (part("KEEP"),), individual=order)
    assert [(rank, number, tie) for rank, number, _, tie in individuals(record)] == [
        (1, 1, decided_by),
        (2, 2, decided_by),
    ]


@pytest.mark.parametrize(
    ("kept", "points"), [("1356", 50), ("6531", 50), ("135", 0), ("13567", 0), ("", 0), ("1234", 28)]
)
def test_keep_or_cull_scores_zero_unless_exactly_so_many_are_kept(kept, points) -> None:
    # Junior Livestock Evaluation, Nebraska District 7: 8 head; mark exactly 4 keep and 4 cull, otherwise the class
    # scores zero. It is worth 50 in CATA livestock, as the best four of these invented values are.
    values = (14, 2, 11, 1, 13, 12, 5, 4)
    ewes = Part("KEEP", "Ewes", ("SR",), 0, "individual", animals="12345678", keep=4).worth_keeping(values)
    assert ewes.most == 50
    assert ewes.worth(kept) == points


def test_a_sub_list_tie_breaks_by_reasons_then_by_the_overall_total() -> None:
    # CATA livestock 2008, 2014, 2022: 1 reasons total, 2 the total score.
    classes = (judged(1, "BEEF"), judged(2, "SWINE", reasons=()))
    sheets = {
        1: ("", {"class:1": "1234", "class:2": "2134", "reasons:1": 40}),
        2: ("", {"class:1": "1234", "class:2": "1234", "reasons:1": 40}),
        3: ("", {"class:1": "2134", "class:2": "2134", "reasons:1": 43}),
    }
    record = contest(sheets, classes, individual=("reasons", "total"))
    assert individuals(record, "BEEF") == [(1, 3, 90, "reasons"), (2, 2, 90, "total"), (3, 1, 90, "total")]


def test_ties_without_oral_reasons_break_by_the_questions() -> None:
    # Preble County Fair, Ohio, livestock judging: question scores.
    sheets = {
        1: ("", {"class:1": "1234", "part:QUEST": 17}),
        2: ("", {"class:1": "2134", "part:QUEST": 20}),
    }
    record = contest(sheets, (judged(1, reasons=()),), (part("QUEST"),), individual=("part:QUEST",))
    assert individuals(record) == [(1, 2, 67, "part:QUEST"), (2, 1, 67, "part:QUEST")]
