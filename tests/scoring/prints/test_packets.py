"""Team packets: what each contestant learns, class by class, and nothing that belongs to another team."""

import re
from dataclasses import replace
from fractions import Fraction

from scoring.core.points import written
from scoring.core.record import Card
from scoring.prints.choice import Choice
from scoring.prints.crossed_lines import crossing
from scoring.prints.documents.packets import build, packets_of
from scoring.prints.material import PairNotes
from tests.factories import ClassFactory, RecordFactory
from tests.scoring.prints.papers import demo, html, material_of, pdf

SPEAKER = 319


def classes_of(number):
    sheet = build(demo(), Choice(numbers=(number,)))["packets"][0]["people"][0]
    return {one["number"]: one for one in sheet["classes"]}


def test_every_pair_that_costs_something_is_named_with_what_it_costs():
    cards = {(card.class_number, card.number): card.placing for card in demo().record.cards}
    judged_by_number = {judged.number: judged for judged in demo().placed_classes}
    checked = 0
    for person in demo().present[::7]:
        for number, shown in classes_of(person.number).items():
            placing = cards.get((number, person.number), "")
            if number not in judged_by_number or not placing.isdigit():
                continue
            judged = judged_by_number[number]
            told = r"you had ([1-4]) over ([1-4]), official \2 over \1: −?(\d+)"
            lost = re.findall(told, "; ".join(pair["words"] for pair in shown["lost"]))
            other_way = {
                (below, above)
                for place, above in enumerate(judged.official)
                for below in judged.official[place + 1 :]
                if placing.index(below) < placing.index(above)
            }
            assert {(first, second) for first, second, _ in lost} == other_way
            assert Fraction(judged.perfect) - sum(int(cost) for *_, cost in lost) == Fraction(shown["score"])
            assert shown["picture"] == crossing(judged.official, placing)
            checked += 1
    assert checked > 40


def test_the_picture_says_in_words_what_it_shows():
    page = html(demo(), "packets", Choice(numbers=(SPEAKER,)))
    assert 'alt="Official 2431, yours 4321"' in page


def test_reasons_stand_by_official_with_their_mean():
    given = [score for score in demo().record.reasons if score.number == SPEAKER]
    assert len({score.official for score in given}) > 1
    text = pdf(demo(), "packets", Choice(numbers=(SPEAKER,))).text
    for judged in {score.class_number for score in given}:
        row = re.search(rf"^{judged} .*$", text[text.index("Oral reasons") :], re.MULTILINE).group()
        by_official = {s.official: Fraction(s.hundredths, 100) for s in given if s.class_number == judged}
        scores = [by_official[official] for official in sorted(by_official)]
        assert row.endswith(" ".join([*map(written, scores), written(sum(scores) / len(scores))]))


def test_a_contestant_has_one_page():
    for paper in ("a4", "letter"):
        made = pdf(demo(), "packets", Choice(numbers=(SPEAKER,), paper=paper))
        assert len(made.pages) == 2  # the team's own, and this one
        assert "Pairs lost" in made.texts[1]
        assert "Totals and ranks" in made.texts[1]


def test_packets_go_by_division_and_team_with_individuals_last():
    packets = packets_of(demo(), Choice())
    divisions = [division.code for division in demo().record.divisions]
    order = [(divisions.index(p.division), not p.team, p.team.casefold(), p.members[0].number) for p in packets]
    assert order == sorted(order)
    assert sum(len(packet.members) for packet in packets) == len(demo().present)


def test_a_class_without_a_key_says_so_and_shows_no_score():
    material = demo()
    first = material.record.classes[0]
    classes = (replace(first, official=None, cuts=None), *material.record.classes[1:])
    shown = build(replace(material, record=replace(material.record, classes=classes)), Choice(numbers=(SPEAKER,)))
    row = shown["packets"][0]["people"][0]["classes"][0]
    assert (row["state"], row["score"], row["lost"], row["picture"]) == ("no key yet", "", [], "")


def test_a_void_class_shows_no_key_no_losses_and_no_place():
    void = next(judged for judged in demo().record.classes if judged.void)
    row = classes_of(SPEAKER)[void.number]
    assert row["placing"] == "3124"
    assert (row["state"], row["official"], row["cuts"], row["score"]) == ("void", "", (), "")
    assert (row["lost"], list(row["beside"]), row["picture"]) == ([], [], "")


def test_an_officials_note_stands_beside_its_pair_once_the_results_are_released():
    judged = next(judged for judged in demo().record.classes if judged.number == 3)
    notes = tuple(PairNotes(name, "", f"decided {name}", "", "") for name in ("top", "middle", "bottom"))
    material = replace(demo(), class_notes={3: notes})
    before = build(material, Choice(numbers=(SPEAKER,)))["packets"][0]["people"][0]["classes"][2]
    after = build(replace(material, released=1), Choice(numbers=(SPEAKER,)))["packets"][0]["people"][0]["classes"][2]
    assert (judged.official, after["placing"]) == ("1324", "4312")
    assert [pair["note"] for pair in before["lost"]] == ["", "", "", ""]
    # 3 over 1 is the top pair the other way round; the other three are further apart, but 4 over 2 is the bottom one.
    assert [pair["note"] for pair in after["lost"]] == ["decided top", "", "", "decided bottom"]


def test_no_cut_is_broken_and_many_animals_have_a_wider_column():
    eight = ClassFactory(animals="12345678", official="31245687", cuts=(12, 11, 13, 12, 11, 12, 11), perfect=100)
    record = RecordFactory(classes=(eight,), cards=(Card(1, 101, "13245678"),))
    made = build(material_of(record), Choice())
    assert made["packets"][0]["people"][0]["classes"][0]["cuts"] == ("12-11-13-", "12-11-12-11")
    assert made["wide"]
    usual = build(material_of(RecordFactory()), Choice())
    assert usual["packets"][0]["people"][0]["classes"][0]["cuts"] == ("3-5-2",)
    assert not usual["wide"]
