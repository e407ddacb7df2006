"""What coaches, families and the press are given: summaries, champions, certificates and badges."""

import re
from dataclasses import replace
from fractions import Fraction

from scoring.core.placing import lost_pairs
from scoring.core.points import figure
from scoring.prints.choice import Choice
from scoring.prints.documents import coaches, press, taking_part
from tests.scoring.prints.papers import awkward, demo, html, material_of, pdf

HIDDEN = next(person for person in demo().record.contestants if not person.show_name and person.present)
WHOLE = f"{HIDDEN.first_name} {HIDDEN.last_name}"


def test_a_coach_reads_what_the_tally_says_of_each_class():
    (team,) = coaches.build(demo(), Choice(teams=(), numbers=(102,)))["teams"]
    members = [person.number for person in demo().present if (person.division, person.team) == ("JR", "Cobblewick")]
    assert [member["number"] for member in team["members"]] == members
    scores = next(s for s in demo().result.scores if (s.division, s.item) == ("JR", "class:1"))
    points = dict(zip(scores.numbers, scores.points, strict=True))
    row = team["rows"][0]
    assert row["points"] == [figure(points[number]) for number in members]
    mean = sum((points[number] for number in members), Fraction(0)) / len(members)
    assert row["mean"] == figure(round(mean, 1))
    assert row["all"] == figure(round(sum(scores.points) / len(scores.points), 1))
    judged = demo().record.classes[0]
    cards = {c.number: c.placing for c in demo().record.cards if c.class_number == 1}
    read = [cards[number] for number in members if cards[number].isdecimal()]
    lost = [pair for placing in read for pair in lost_pairs(judged.official, judged.cuts, placing)]
    assert row["lost"].startswith(f"−{sum(pair.points for pair in lost)}: ")
    assert row["rank"] == "5th of 5"
    assert not any("8 " in row["name"][:2] for row in team["rows"])  # void


def test_a_coach_reads_no_name_of_another_team():
    page = html(demo(), "coach-summaries", Choice(numbers=(102,)))
    others = [person for person in demo().present if person.team != "Cobblewick" and person.last_name]
    assert not any(f"{person.first_name} {person.last_name}" in page for person in others)


def test_champions_and_badges_name_nobody_whose_family_says_no_and_a_certificate_does():
    for document in ("champions", "name-badges"):
        page = html(demo(), document)
        assert WHOLE not in page
        assert str(HIDDEN.number) in page
    assert WHOLE in html(demo(), "certificates", Choice(numbers=(HIDDEN.number,)))
    ((badge, *_rest),) = taking_part.badges(demo(), Choice(numbers=(HIDDEN.number,)))["sheets"]
    assert badge["name"] == ""


def test_champions_stand_on_one_page_however_long_their_names_are():
    for paper in ("a4", "letter"):
        assert len(pdf(awkward(), "champions", Choice(paper=paper)).pages) == 1
    firsts = press.build(demo(), Choice())["firsts"]
    winners = sum(row.rank == 1 for s in demo().result.standings for row in (*s.individuals, *s.teams))
    assert len(firsts) == winners


def test_whoever_is_not_here_gets_neither_certificate_nor_badge():
    record = demo().record
    people = tuple(p._replace(present=p.number != 102) for p in record.contestants)
    material = material_of(replace(record, contestants=people))
    for document in ("certificates", "name-badges"):
        assert not re.search(r"Zoë", html(material, document))
        assert "Zoë" in html(demo(), document)
