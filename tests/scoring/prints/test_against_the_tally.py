"""What the PDFs say, read by another library, is what the tally says."""

import re
from dataclasses import replace

from scoring.core.points import written
from scoring.prints.choice import Choice
from tests.scoring.prints.papers import a_long_part, demo, large, material_of, pdf


def rows_of(made, columns):
    """The table rows of a list: those that begin with `columns` whole numbers."""
    pattern = re.compile(r"^" + r"(\d+) " * columns)
    return [line for line in made.text.splitlines() if pattern.match(line)]


def test_results_list_every_rank_number_and_total():
    material = demo()
    for standing in material.result.standings:
        name = f"{standing.division}/{standing.code}"
        made = pdf(material, "results", Choice(lists=(name,), kinds=("individuals",)))
        shown = [tuple(map(int, line.split()[:2])) for line in rows_of(made, 2)]
        assert shown == [(row.rank, row.number) for row in standing.individuals]
        for line, row in zip(rows_of(made, 2), standing.individuals, strict=True):
            assert written(row.total).replace("-", "−") in line.split()


def test_long_lists_repeat_their_heads_and_keep_every_row():
    material = large()
    standing = next(s for s in material.result.standings if (s.division, s.code) == ("JR", "overall"))
    assert len(standing.individuals) == 600
    made = pdf(material, "results", a_long_part("results"))
    shown = [tuple(map(int, line.split()[:2])) for line in rows_of(made, 2)]
    assert shown == [(row.rank, row.number) for row in standing.individuals]
    with_rows = [text for text in made.texts if re.search(r"^\d+ \d+ ", text, re.M)]
    assert len(with_rows) > 5
    assert all("Rank Number" in text for text in with_rows)
    assert made.outside() == []


def test_check_in_lists_name_all_of_many():
    material = large()
    made = pdf(material, "check-in")
    listed = re.findall(r"^(\d+) First Last", made.text, re.M)
    assert sorted(map(int, listed)) == sorted(person.number for person in material.record.contestants)


def test_award_sheets_follow_the_list():
    material = demo()
    made = pdf(material, "award-sheets", Choice(lists=("SR/overall",), kinds=("individuals",), places=3))
    standing = next(s for s in material.result.standings if (s.division, s.code) == ("SR", "overall"))
    people = {person.number: person for person in material.record.contestants}
    winners = [row for row in standing.individuals if row.rank <= 3]
    assert len(made.pages) == len(winners)
    for page, row in zip(made.pages, winners, strict=True):
        text = page.extract_text(x_tolerance=3)
        assert people[row.number].last_name in text
        assert f"{written(row.total)} points" in text
        assert {1: "Champion", 2: "Reserve", 3: "3rd place"}[row.rank] in text


def test_a_class_report_counts_what_was_given():
    material = demo()
    judged = material.placed_classes[0]
    made = pdf(material, "class-reports", Choice(classes=(judged.number,)))
    here = {person.number for person in material.present}
    given = [c.placing for c in material.record.cards if c.class_number == judged.number and c.number in here]
    lines = {line.split()[0]: line.split() for line in made.text.splitlines() if re.match(r"^[1-4]{4} ", line)}
    for placing in set(given):
        if placing.isdigit():
            cells = [cell for cell in lines[placing] if cell != "official"]
            assert cells[2] == str(given.count(placing))
    first, second = judged.official[:2]
    readable = [placing for placing in given if placing.isdigit()]
    agree = sum(placing.index(first) < placing.index(second) for placing in readable)
    assert f"{first} over {second} top pair {judged.cuts[0]} {agree} of {len(readable)}" in made.text


def test_the_script_goes_from_the_last_place_to_the_first():
    made = pdf(demo(), "script", Choice(lists=("JR/overall",), kinds=("individuals",), places=5))
    places = re.findall(r"^(5th place|4th place|3rd place|Reserve|Champion)", made.text, re.M)
    assert places == ["5th place", "4th place", "3rd place", "Reserve", "Champion"]
    assert "say: ZOH-ee LIND-kvarn" in made.text


def test_missing_cards_are_listed_by_group():
    record = demo().record
    gone = {(card.class_number, card.number) for card in record.cards[:2]}
    cards = tuple(card for card in record.cards if (card.class_number, card.number) not in gone)
    text = pdf(material_of(replace(record, cards=cards)), "missing-cards").text
    for _, number in gone:
        assert str(number) in text
    assert "No card is missing" in pdf(demo(), "missing-cards").text
