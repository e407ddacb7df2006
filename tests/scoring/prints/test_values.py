"""What stands on paper against a scorer that shares no code with the tally: each score, loss, mean, place and total of
every contestant, team and list, of the demo, the example books and a contest in which all is hard on paper.

`test_hard_book.py` and `test_documents.py` hold that a PDF says what its HTML does.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import tinyhtml5

from contest.book import read_book
from scoring.core.record import JudgingClass, Record
from scoring.prints.choice import Choice
from scoring.prints.material import Material
from tests.scoring.core.slow_scorer import SlowResult, slow_tally
from tests.scoring.prints.papers import awkward, demo, html, material_of

EXAMPLES = Path(__file__).parents[2] / "examples"
CONTESTS = {"demo": demo, "hard": awkward} | {
    book.name: cache(lambda book=book: material_of(read_book(book)))
    for book in sorted(EXAMPLES.glob("book-*"))
    if not (book / "choices.csv").exists()
}
SLOW = {name: cache(lambda of=of: slow_tally(of().record)) for name, of in CONTESTS.items()}
PLACES = 12


@pytest.fixture(params=CONTESTS, scope="module")
def contest(request) -> tuple[Material, SlowResult]:
    return CONTESTS[request.param](), SLOW[request.param]()


@pytest.fixture(scope="module")
def packets(contest) -> list[Any]:
    """The pages of all packets."""
    return sections_of(html(contest[0], "packets"), "packet-page")


@pytest.fixture(scope="module")
def sheets(packets) -> dict[int, Any]:
    """Each contestant's own page, by number."""
    own = [page for page in packets if "person" in page.get("class").split()]
    return {int(text(page.find(tag("h1"))).split()[0]): page for page in own}


def test_there_are_as_many_contests_as_there_should_be():
    assert len(CONTESTS) >= 5
    record = awkward().record
    assert {person.division for person in record.contestants} < {division.code for division in record.divisions}
    assert not all(person.present for person in record.contestants)
    assert any(tie == "shared" for *_row, tie in SLOW["hard"]().individuals)


def test_packets_say_every_score_loss_mean_and_place(contest, sheets):
    material, slow = contest
    assert set(sheets) == {person.number for person in material.record.contestants if person.present}
    for person in material.record.contestants:
        if person.present:
            rows = rows_of(sheets[person.number], "Class", "Yours")
            assert rows == list(classes_of(material.record, slow, person)), person.number


def test_packets_say_every_reasons_score_mark_total_and_rank(contest, sheets):
    material, slow = contest
    record = material.record
    people = {person.number: person for person in record.contestants}
    for number, sheet in sheets.items():
        person = people[number]
        heard = rows_of(sheet, "Class", "Mean")
        assert [row[1:] for row in heard] == list(reasons_of(record, slow, person))
        marks = {name: points for name, points, _most in rows_of(sheet, "Part", "Points")}
        assert marks == {
            part.name: figure(slow.scores[person.number, f"part:{part.code}"])
            for part in record.parts
            if part.scope == "individual" and person.division in part.divisions
        }
        listed = [row for row in slow.individuals if row[3] == person.number]
        among = {row[1]: sum(other[:2] == row[:2] for other in slow.individuals) for row in listed}
        shown = [(total, rank, bool(note)) for _name, total, rank, note in rows_of(sheet, "List", "Rank")]
        assert shown == [
            (figure(total), f"{ordinal(rank)} of {among[code]}", bool(tie))
            for _division, code, rank, _number, _team, total, tie in listed
        ]


def test_packets_say_every_total_rank_and_member_of_a_team(contest, packets):
    material, slow = contest
    names = {division.code: division.name for division in material.record.divisions}
    seen = set()
    for sheet in packets:
        if "person" in sheet.get("class").split():
            continue
        division, team = text(sheet.find(tag("p"))), text(sheet.find(tag("h1")))
        (code,) = (code for code, name in names.items() if name == division)
        seen.add((code, team))
        listed = [row for row in slow.teams if (row[0], " ".join(row[3].split())) == (code, team)]
        rows = [row[1:4] for row in rows_of(sheet, "List", "Counting")]
        assert [row for row in rows if row] == [
            [
                figure(row[4]),
                f"{ordinal(row[2])} of {sum(other[:2] == row[:2] for other in slow.teams)}",
                ", ".join(map(str, row[5])),
            ]
            for row in listed
        ]
        for number, _name, *totals in rows_of(sheet, "Number", "Name"):
            own = [row for row in slow.individuals if row[3] == int(number)]
            assert totals == [f"{figure(row[5])} {ordinal(row[2])}" for row in own]
    assert seen == {(p.division, p.team) for p in material.record.contestants if p.present and p.team}


def test_award_sheets_say_every_place_in_its_order(contest):
    material, slow = contest
    page = html(material, "award-sheets", Choice(places=PLACES))
    shown = [
        (
            word(sheet, "place"),
            word(sheet, "list").startswith("shared,"),
            word(sheet, "points").partition(" ")[0],
        )
        for sheet in sections_of(page, "award")
    ]
    assert shown == [(place, tie == "shared", figure(total)) for place, _who, total, tie in winners_of(material, slow)]


def test_results_ribbons_and_the_script_say_the_same(contest):
    material, slow = contest
    winners = winners_of(material, slow)
    ribbons = html(material, "ribbons", Choice(places=PLACES))
    rows = [row for table in tables_of(tinyhtml5.parse(ribbons)) for row in table[1]]
    assert [(row[0].removesuffix(", shared"), row[-2]) for row in rows] == [
        (place, figure(total)) for place, _who, total, _tie in winners
    ]
    script = tinyhtml5.parse(html(material, "script", Choice(places=PLACES)))
    said = sorted(
        (word(row, "place").removesuffix(" (shared)"), word(row, "points").split()[0]) for row in said_in(script)
    )
    assert said == sorted((place, figure(total)) for place, _who, total, _tie in winners)
    results = [
        (row[0], row[1], [cell for cell in row if cell == figure(total)])
        for row, total in zip(
            (
                row
                for head, rows in tables_of(tinyhtml5.parse(html(material, "results")))
                if "Number" in head
                for row in rows
            ),
            (row[5] for row in slow.individuals),
            strict=True,
        )
    ]
    assert [row[:2] for row in results] == [(str(row[2]), str(row[3])) for row in slow.individuals]
    assert all(row[2] for row in results)


# What should stand there, worked out from the book's own words


def classes_of(record: Record, slow: SlowResult, person: Any) -> Iterator[list[str]]:
    """A contestant's rows: class, official placing and cuts, own placing, score, beside it, picture, pairs lost."""
    for judged in record.classes:
        if not judged.places or person.division not in judged.divisions:
            continue
        given = [c.placing for c in record.cards if (c.class_number, c.number) == (judged.number, person.number)] or [
            ""
        ]
        placing = {"": "no card"}.get(given[0], given[0])
        name = " ".join(f"{judged.number} {judged.name}".split())
        if judged.void or person.division in judged.void_divisions:
            yield [name, "", placing, "", "void", "", ""]
        elif judged.official is None or judged.cuts is None:
            yield [name, "", placing, "", "no key yet", "", ""]
        else:
            own = slow.scores[person.number, f"class:{judged.number}"]
            division = [p.number for p in record.contestants if p.present and p.division == person.division]
            everybody = [slow.scores[number, f"class:{judged.number}"] for number in division]
            beside, told = [], ""
            if placing.isdigit():
                lost = list(pairs_lost(judged, placing))
                told = " ".join(words for _points, words in lost) or "none"
                beside = [f"lost {sum(points for points, _words in lost)} of {judged.perfect}"]
            if len(everybody) > 1:
                mean = sum(everybody, Fraction(0)) / len(everybody)
                place = 1 + sum(1 for other in everybody if other > own)
                beside += [f"mean {figure(mean, 1)}", f"{ordinal(place)} of {len(everybody)}"]
            key = f"{judged.official} {'-'.join(str(cut) for cut in judged.cuts)}"
            yield [name, key, placing, figure(own), " ".join(beside), "", told]


def pairs_lost(judged: JudgingClass, placing: str) -> Iterator[tuple[int, str]]:
    """'For each pair that the card puts the other way round, the score loses the sum of the cuts between the two.'"""
    assert judged.official is not None and judged.cuts is not None
    for upper, lower in combinations(range(len(judged.official)), 2):
        above, below = judged.official[upper], judged.official[lower]
        if placing.index(above) > placing.index(below):
            cuts = judged.cuts[upper:lower]
            added = f" ({'+'.join(str(cut) for cut in cuts)})" if len(cuts) > 1 else ""
            words = (
                f"you had {below} over {above}, official {above} over {below}: {figure(Fraction(-sum(cuts)))}{added}"
            )
            yield sum(cuts), words


def reasons_of(record: Record, slow: SlowResult, person: Any) -> Iterator[list[str]]:
    """What each official who heard a contestant gave, class by class, and the mean."""
    classes = [c for c in record.classes if person.division in c.reasons and person.division not in c.void_divisions]
    own = [score for score in record.reasons if score.number == person.number]
    counting = [c for c in classes if not c.void]
    numbers = {judged.number for judged in counting}
    officials = sorted({score.official for score in own if score.class_number in numbers})
    for judged in counting:
        given = {s.official: figure(Fraction(s.hundredths, 100)) for s in own if s.class_number == judged.number}
        mean = figure(slow.scores[person.number, f"reasons:{judged.number}"]) if given else "not heard"
        yield [*(given.get(official, "") for official in officials), mean]


def winners_of(material: Material, slow: SlowResult) -> list[tuple[str, object, Fraction, str]]:
    """Place, who, total and tie of everybody with one of the first places, list by list, contestants before teams."""
    found: list[tuple[str, object, Fraction, str]] = []
    orders = [(standing.division, standing.code) for standing in material.result.standings]
    assert {row[:2] for row in slow.individuals} | {row[:2] for row in slow.teams} <= set(orders)
    for division, code in orders:
        rows: list[tuple[int, object, Fraction, str]] = [
            (rank, number, total, tie)
            for own, list_, rank, number, _team, total, tie in slow.individuals
            if (own, list_) == (division, code)
        ]
        rows += [
            (rank, team, total, tie)
            for own, list_, rank, team, total, _counting, tie in slow.teams
            if (own, list_) == (division, code)
        ]
        for rank, who, total, tie in rows:
            if rank <= PLACES:
                ribbon = material.ribbons.get(rank)
                found.append((ribbon.name if ribbon else f"{ordinal(rank)} place", who, total, tie))
    return found


def figure(value: Fraction, decimals: int = 2) -> str:
    """As many decimals as are needed, two at most, rounded half-even."""
    step = Decimal(1).scaleb(-decimals)
    rounded = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(step, ROUND_HALF_EVEN)
    return f"{rounded.normalize() + 0:f}".replace("-", "−")


def ordinal(place: int) -> str:
    ending = "th" if place % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{ending}"


# What does stand there


def tag(name: str) -> str:
    return f"{{http://www.w3.org/1999/xhtml}}{name}"


def text(element: Any) -> str:
    return " ".join("".join(f"{piece} " if piece.isspace() else piece for piece in pieces(element)).split())


def pieces(element: Any) -> Iterator[str]:
    if element.tag == tag("br") or element.get("class") == "pair":
        yield " "
    yield element.text or ""
    for kid in element:
        yield from pieces(kid)
        yield kid.tail or ""


def sections_of(page: str, kind: str) -> list[Any]:
    return [s for s in tinyhtml5.parse(page).iter(tag("section")) if kind in str(s.get("class")).split()]


def tables_of(element: Any) -> list[tuple[list[str], list[list[str]]]]:
    """The heads and rows of each table."""
    return [
        (
            [text(cell) for cell in table.iter(tag("th"))],
            [[text(cell) for cell in row.iter(tag("td"))] for row in table.find(tag("tbody")).iter(tag("tr"))],
        )
        for table in element.iter(tag("table"))
    ]


def rows_of(element: Any, *heads: str) -> list[list[str]]:
    """The rows of the table that has all these heads; none where there is no such table."""
    return [row for head, rows in tables_of(element) if set(heads) <= set(head) for row in rows]


def word(element: Any, kind: str) -> str:
    """What stands in the paragraph of a kind."""
    (found,) = (text(one) for one in element.iter(tag("p")) if kind in str(one.get("class")).split())
    return found


def said_in(page: Any) -> list[Any]:
    return [row for list_ in page.iter(tag("ol")) if list_.get("class") == "said" for row in list_.iter(tag("li"))]
