"""Papers that are worked with: group sheets, check-in lists, doubts, standings that may still change."""

import re
from dataclasses import replace

from scoring.prints.choice import Choice
from scoring.prints.words import CAUTIONS, WHO_DECIDES
from tests.bench.large_contest import large_record
from tests.scoring.prints.papers import demo, doubt, html, material_of, pdf


def test_each_group_has_its_way_its_cards_and_the_cautions():
    made = pdf(demo(), "group-sheets")
    letters = sorted({person.group for person in demo().present})
    pages = made.texts
    assert [page for page in pages if "Around the animals" in page] == pages[1:]
    for letter, text in zip(letters, pages[1:], strict=True):
        members = [person for person in demo().present if person.group == letter]
        assert f"Group {letter}" in text
        assert all(str(caution) in text for caution in CAUTIONS)
        assert str(WHO_DECIDES) in text
        handed_over = {int(n): int(cards) for n, cards in re.findall(r"^\d+ [\d:–]+ (\d+) .* (\d+)$", text, re.M)}
        assert handed_over == {
            judged.number: sum(person.division in judged.divisions for person in members)
            for judged in demo().placed_classes
        }
        ticked = re.findall(r"^(\d+) (?:Junior|Intermediate|Senior)", text, re.M)
        assert [int(number) for number in ticked] == [person.number for person in members]


def test_no_two_groups_are_at_one_class_at_once_and_each_visits_all():
    text = pdf(demo(), "group-sheets").texts[0]
    rounds = [row.split()[2:] for row in re.findall(r"^\d+ \d\d:\d\d–\d\d:\d\d .*$", text, re.M)]
    classes = {str(judged.number) for judged in demo().record.classes if not judged.void}
    assert all(len(set(at_once)) == len(at_once) for at_once in rounds)
    assert all(set(way) == classes for way in zip(*rounds, strict=True))


def test_a_team_stays_on_one_page_of_the_check_in_list():
    record = large_record(240)
    teams = {person.number: (person.division, person.team) for person in record.contestants}
    made = pdf(material_of(record), "check-in")
    seen = [{teams[int(number)] for number in re.findall(r"^(\d+) First Last", text, re.M)} for text in made.texts]
    assert len(seen) > 5
    assert sum(map(len, seen)) == len(set(teams.values()))


def test_a_doubt_has_room_for_the_decision_its_reason_and_a_name():
    made = pdf(replace(demo(), doubts=(doubt(), doubt())), "doubts")
    for word in ("Decided", "Why", "By"):
        assert made.text.count(word) >= 2
    page = html(demo(), "doubts")
    assert page.count('class="write"') == 4


def test_standings_say_that_they_are_provisional_when_and_at_which_revision():
    made = pdf(demo(), "standings", Choice(lists=("JR/overall", "SR/overall")))
    assert "Provisional" in made.texts[0]
    assert "At 14:03:22 on April 25, 2026, revision 7" in made.text
    for text in made.texts:
        assert re.search(r"14:03:22; trail [0-9a-f ]{19}; provisional", text)


def test_a_chosen_list_without_anybody_says_so():
    absent = tuple(person._replace(present=False) for person in demo().record.contestants)
    nobody = material_of(replace(demo().record, contestants=absent))
    assert "Nobody is ranked in this list." in html(nobody, "results", Choice(lists=("JR/overall",)))
    assert "no lists yet" in html(nobody, "results")


def test_the_script_says_how_members_of_a_team_are_said():
    text = pdf(demo(), "script", Choice(lists=("JR/overall",), kinds=("teams",))).text
    assert "Zoë Lindqvarn (say: ZOH-ee LIND-kvarn)" in text


def test_names_from_right_to_left_stand_each_on_their_own():
    people = tuple(
        person._replace(first_name="שלומית" if person.number % 2 else "Ada", last_name="")
        for person in demo().record.contestants
    )
    page = html(material_of(replace(demo().record, contestants=people)), "award-sheets", Choice(kinds=("teams",)))
    assert "<bdi>שלומית</bdi>, <bdi>Ada</bdi>" in page
