"""Changes to one entry: what each writes, and what stands in its way."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.entries import people
from contest.entries.entered import out_of_place, people_of, read_digest, set_aside_of, values_of
from contest.entries.people import EntryChanged, NotThis
from contest.entries.plan import Values
from contest.models import Card, Reading, State, Team
from contest.slips.reading import bring_back_together
from tests.contest.entries.cast import contestant, read, trail, two_divisions
from tests.trails import last_of

pytestmark = pytest.mark.django_db
WALK_UP = Values(201, "JR", "cobblewick", "Ngozi", "Adelumo", "B", show_name=False)


def division(contest, code):
    return contest.divisions.get(code=code)


def changed(values, **fields):
    from dataclasses import replace

    return replace(values, **fields)


def test_a_walk_up_is_entered_into_the_team_that_is_meant():
    contest = two_divisions()
    made = people.add_contestant(contest, WALK_UP, "super")
    assert values_of(contestant(contest, 201)) == changed(WALK_UP, team="Cobblewick")
    assert trail(contest)[0] == "contestant 201 entered"
    assert last_of(contest).after["first_name"] == "Ngozi"
    assert made.present


def test_a_team_nobody_was_in_is_made():
    contest = two_divisions()
    people.add_contestant(contest, changed(WALK_UP, team="Dunmore"), "super")
    assert Team.objects.get(name="Dunmore").division.code == "JR"


def test_a_number_that_is_taken_is_refused():
    contest = two_divisions()
    with pytest.raises(NotThis, match="number 101 is taken") as refused:
        people.add_contestant(contest, changed(WALK_UP, number=101), "super")
    assert refused.value.field == "number"
    assert contest.contestants.count() == 5


def test_cards_read_under_a_number_before_it_was_anybodys_become_theirs():
    contest = two_divisions()
    read(contest, 1, 201, by="Ann")
    read(contest, 1, 201, by="Ben")
    read(contest, 2, 201, by="Ben")  # class 2 is not the juniors'
    assert not Card.objects.exists()
    made = people.add_contestant(contest, WALK_UP, "super")
    assert Card.objects.get(contestant=made).state == State.SETTLED
    assert Reading.objects.filter(contestant=made).count() == 3


def test_a_correction_changes_only_what_differs():
    contest = two_divisions()
    person = contestant(contest, 101)
    values = changed(values_of(person), first_name="Maisie", show_name=False)
    people.correct_entry(person, values, "super", shown=values_of(person))
    assert values_of(contestant(contest, 101)) == values
    entry = last_of(contest)
    assert entry.what == "contestant 101: corrected"
    assert (entry.before, entry.after) == (
        {"first_name": "Given101x", "show_name": True},
        {"first_name": "Maisie", "show_name": False},
    )


def test_a_correction_of_what_somebody_else_changed_is_not_made():
    contest = two_divisions()
    person = contestant(contest, 101)
    seen = values_of(person)
    people.correct_entry(person, changed(seen, group="B"), "other", seen)
    with pytest.raises(EntryChanged) as meanwhile:
        people.correct_entry(person, changed(seen, group="C"), "super", seen)
    assert meanwhile.value.theirs.group == "B"
    with pytest.raises(EntryChanged):
        people.move_contestant(person, division(contest, "JR"), "", "super", seen)
    assert contestant(contest, 101).group == "B"


def test_a_number_changes_until_something_was_read():
    contest = two_divisions()
    person = contestant(contest, 101)
    with pytest.raises(NotThis, match="taken"):
        people.correct_entry(person, changed(values_of(person), number=102), "super")
    people.correct_entry(person, changed(values_of(person), number=301), "super")
    read(contest, 1, 301)
    person = contestant(contest, 301)
    with pytest.raises(NotThis, match="the number stays"):
        people.correct_entry(person, changed(values_of(person), number=302), "super")


def test_a_corrected_number_takes_in_the_cards_read_under_it():
    contest = two_divisions()
    read(contest, 1, 301)
    person = contestant(contest, 101)
    people.correct_entry(person, changed(values_of(person), number=301), "super")
    assert Card.objects.get(contestant=person).placing == "3124"


def test_after_something_was_read_a_correction_does_not_make_another_person():
    contest = two_divisions()
    read(contest, 1, 101)
    person = contestant(contest, 101)
    with pytest.raises(NotThis, match="another person"):
        people.correct_entry(person, changed(values_of(person), first_name="A", last_name="B"), "super")
    people.correct_entry(person, changed(values_of(person), first_name="A"), "super")


def test_a_move_to_another_team_and_to_none_drops_teams_left_empty():
    contest = two_divisions()
    people.move_contestant(contestant(contest, 104), division(contest, "JR"), "", "super")
    assert contestant(contest, 104).team is None
    assert not Team.objects.filter(name="Cobblewick").exists()
    people.move_contestant(contestant(contest, 103), division(contest, "SR"), "Dunmore", "super")
    assert contestant(contest, 103).team.name == "Dunmore"
    assert trail(contest)[0] == "contestant 103: moved"


def test_a_move_sets_aside_what_does_not_belong_in_the_new_division_for_a_reason_given_once():
    contest = two_divisions()
    for number in (1, 2):
        read(contest, number, 101)
        read(contest, number, 101, by="Bob")
    person = contestant(contest, 101)
    [mover] = [person for person in people_of(contest) if person.values.number == 101]
    assert mover.read and list(mover.barred) == ["JR"]
    assert [(place.code, what) for place, what in out_of_place(person)] == [("JR", "cards of classes 2")]
    seen = read_digest(person)
    assert people.move_contestant(person, division(contest, "JR"), "", "super", seen=seen, why="too young") == 2
    assert contestant(contest, 101).division.code == "JR"
    assert [card.judging_class.number for card in Card.objects.all()] == [1]
    assert [(row.judging_class.number, row.withdrawn_reason) for row in set_aside_of(person)] == [(2, "too young")] * 2


def test_a_move_is_refused_where_more_would_be_set_aside_than_whoever_moves_them_was_told():
    contest = two_divisions()
    read(contest, 2, 101)
    person = contestant(contest, 101)
    told = read_digest(person)
    read(contest, 2, 101, by="Bob")
    for seen in ("", told):
        with pytest.raises(NotThis, match="was read meanwhile") as refused:
            people.move_contestant(person, division(contest, "JR"), "", "super", seen=seen)
        assert refused.value.field == "division"
    assert contestant(contest, 101).division.code == "SR"
    assert set_aside_of(person) == []


def test_what_was_set_aside_is_brought_back_where_it_belongs_again():
    contest = two_divisions()
    read(contest, 2, 101)
    person = contestant(contest, 101)
    people.move_contestant(person, division(contest, "JR"), "", "super", seen=read_digest(person))
    assert not Card.objects.exists()
    people.move_contestant(person, division(contest, "SR"), "", "super")
    bring_back_together(set_aside_of(person), "super")
    assert Card.objects.get().judging_class.number == 2
    assert set_aside_of(person) == []


def test_a_move_makes_cards_of_what_the_new_division_judges():
    contest = two_divisions()
    read(contest, 3, 101)  # a stray: seniors do not judge class 3
    assert not Card.objects.exists()
    people.move_contestant(contestant(contest, 101), division(contest, "JR"), "", "super")
    assert Card.objects.get().judging_class.number == 3


def test_another_person_takes_the_place_until_something_was_read():
    contest = two_divisions()
    people.scratch(contestant(contest, 101), "super")
    people.make_ineligible(contestant(contest, 101), "age", "super")
    people.substitute(contestant(contest, 101), "Ngozi", "Adelumo", "super", show_name=False)
    person = contestant(contest, 101)
    assert (person.first_name, person.last_name, person.show_name) == ("Ngozi", "Adelumo", False)
    assert (person.present, person.ineligible, person.checked_in_at) == (True, False, None)
    read(contest, 1, 101)
    with pytest.raises(NotPossible, match="scratch them, and enter the other person"):
        people.substitute(person, "Bo", "Ray", "super")


def test_scratching_and_its_opposite_say_when_it_is_so_already():
    contest = two_divisions()
    people.scratch(contestant(contest, 101), "super")
    assert not contestant(contest, 101).present
    with pytest.raises(NotPossible, match="101 is scratched already"):
        people.scratch(contestant(contest, 101), "super")
    people.unscratch(contestant(contest, 101), "super")
    with pytest.raises(NotPossible, match="101 is present already"):
        people.unscratch(contestant(contest, 101), "super")
    assert trail(contest)[:2] == ["contestant 101: no longer scratched", "contestant 101: scratched"]


def test_ineligibility_has_a_reason_and_can_be_taken_back():
    contest = two_divisions()
    with pytest.raises(NotThis, match="say why"):
        people.make_ineligible(contestant(contest, 101), "  ", "super")
    people.make_ineligible(contestant(contest, 101), "too old", "super")
    person = contestant(contest, 101)
    assert (person.ineligible, person.ineligible_reason) == (True, "too old")
    people.make_eligible(person, "super")
    with pytest.raises(NotPossible, match="eligible again already"):
        people.make_eligible(person, "super")


def test_an_entry_is_removed_until_something_was_read_even_if_it_was_taken_back():
    contest = two_divisions()
    people.remove_contestant(contestant(contest, 104), "super")
    assert not contest.contestants.filter(number=104).exists()
    assert not Team.objects.filter(name="Cobblewick").exists()
    from contest.slips.reading import take_back

    fate = read(contest, 1, 101)
    take_back(Reading.objects.get(pk=fate.reading_id), "Ann")
    with pytest.raises(NotPossible, match="scratch them instead"):
        people.remove_contestant(contestant(contest, 101), "super")


def test_somebody_removed_meanwhile_cannot_be_changed():
    contest = two_divisions()
    person = contestant(contest, 101)
    people.remove_contestant(person, "other")
    person.pk = 10**9
    with pytest.raises(NotPossible, match="somebody has removed this entry"):
        people.scratch(person, "super")


def test_every_change_moves_the_revision_by_one():
    contest = two_divisions()
    before = contest.revision
    people.scratch(contestant(contest, 101), "super")
    people.move_contestant(contestant(contest, 102), division(contest, "JR"), "", "super")
    contest.refresh_from_db()
    assert contest.revision == before + 2
