"""What loading a list would do."""

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from contest.entries.assigning import digest
from contest.entries.matching import guess
from contest.entries.plan import Change, Layout, Person, Values, Verdict, make_plan
from contest.uploads.spreadsheets import lines_of

DIVISIONS = [("SR", "Senior"), ("JR", "Junior")]
MAISIE = Person(1, Values(101, "SR", "Ash", "Maisie", "Tolworthy", "A"))
ZOE = Person(2, Values(102, "SR", "Ash", "Zoë", "Lindqvarn", "B"))
LONER = Person(3, Values(103, "JR", "", "Bo", "Ray"))
CAST = (MAISIE, ZOE, LONER)
HEADINGS = "No;First;Last;Team;Division;Group;Role\n"


def plan(text, people=CAST, renumber=True, headings=HEADINGS, **layout):
    lines = lines_of(headings + text)
    guessed = guess([line.cells for line in lines])
    return make_plan(lines, Layout(guessed.headings, guessed.columns, **layout), DIVISIONS, people, renumber)


def only(text, people=CAST, renumber=True, **layout):
    [row] = plan(text, people, renumber, **layout).rows
    return row


@pytest.mark.parametrize(
    ("text", "changes"),
    [
        ("101;Maisie;Tolworthy;Ash;Senior;A", []),
        ("101;MAISIE;Tolworthy;;SR;", [("first_name", "Maisie", "MAISIE")]),
        ("101;;;;;C", [("group", "A", "C")]),
        ("101;Maisie;Tolworthy;Birch;Senior;A", [("team", "Ash", "Birch")]),
        ("101;Maisie;Tolworthy;ash;Senior;A", []),
        (";Maisie;Tolworthy;ASH;Senior;C", [("group", "A", "C")]),
        ("102;Zoe;Lindqvarn;Ash;Senior;B", [("first_name", "Zoë", "Zoe")]),
        ("101;Maisie;Tolworthy;Ash;Junior;A", [("division", "SR", "JR")]),
        ("101;Maisie;Tolworthy;;Senior;A;individual", [("team", "Ash", "")]),
        ("201;Maisie;Tolworthy;Ash;Senior;A", [("number", 101, 201)]),
        (";Bo;Ray;;Junior;", []),
        ("103;Bo;Ray;Somewhere;Junior;;Individual", []),
    ],
)
def test_a_row_about_somebody_entered_changes_what_differs(text, changes):
    row = only(text)
    assert row.kind == (Verdict.CHANGE if changes else Verdict.SAME), row
    assert row.changes == tuple(Change(*change) for change in changes)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("201;Ngozi;Adelumo;Birch;junior;C", Values(201, "JR", "Birch", "Ngozi", "Adelumo", "C")),
        ("#201;Ngozi;Adelumo;;Jr.;", Values(201, "JR", "", "Ngozi", "Adelumo")),
        ("201.0;Ngozi;;ash;SR;", Values(201, "SR", "Ash", "Ngozi", "")),
    ],
)
def test_a_row_about_somebody_new_adds_them(text, values):
    row = only(text)
    assert (row.kind, row.values) == (Verdict.ADD, values)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("x1;Ngozi;Adelumo;;SR;", "'x1' is not a number"),
        ("0;Ngozi;Adelumo;;SR;", "'0' is not a number"),
        ("9999999999;Ngozi;Adelumo;;SR;", "is not a number"),
        ("201;Ngozi;Adelumo;;Novice;", "no division is called 'Novice'; they are Senior, Junior"),
        ("201;Ngozi;Adelumo;;;", "no division is named"),
        (";Ngozi;Adelumo;;SR;", "it has no number"),
        (";;;Ash;SR;", "neither a number nor a name"),
        ("201;Ngozi;Adelumo;;SR;;captain", "the role is 'captain'"),
        ("201;Ngozi;Adelumo;;SR;;member", "needs a team"),
        (f"201;{'N' * 201};Adelumo;;SR;", "first name has 201 characters"),
    ],
)
def test_a_row_that_makes_no_sense_is_refused(text, reason):
    row = only(text)
    assert row.kind == Verdict.REFUSE
    assert reason in " ".join(row.notes)


def test_a_plan_is_known_again_by_what_it_does_in_whatever_language_it_is_told():
    shown = plan("101;Nobody;Known;;SR\n;Ann;Lee;Hill;SR")
    told = [replace(row, notes=("dicho de otro modo",)) for row in shown.rows]
    assert any(row.notes for row in shown.rows)
    assert digest(replace(shown, rows=tuple(told))) == digest(shown)
    added = replace(shown, rows=(replace(shown.rows[0], kind=Verdict.ADD), *shown.rows[1:]))
    assert digest(added) != digest(shown)


def test_the_second_of_two_rows_for_one_is_refused_with_the_line_of_the_first():
    twice = plan("201;a;b;;SR;\n201;c;d;;SR;\n;Ann;Lee;;SR;\n;ann;LEE;;SR;", numbers_from=300)
    assert [row.kind for row in twice.rows] == [Verdict.ADD, Verdict.REFUSE, Verdict.ADD, Verdict.REFUSE]
    assert twice.rows[1].notes == ("number 201 stands in line 2 too",)
    assert "the same person stands in line 4" in twice.rows[3].notes[0]


def test_rows_without_a_number_get_the_free_ones_where_asked():
    rows = plan(";a;a;;SR;\n104;b;b;;SR;\n;c;c;;SR;", numbers_from=102).rows
    assert [row.values.number for row in rows] == [105, 104, 106]


def test_two_people_can_change_numbers_with_each_other():
    rows = plan("102;Maisie;Tolworthy;Ash;SR;A\n101;Zoë;Lindqvarn;Ash;SR;B").rows
    assert [(row.key, row.values.number) for row in rows] == [(1, 102), (2, 101)]


def test_a_number_can_pass_to_somebody_new_when_its_holder_moves_away():
    rows = plan("101;Ngozi;Adelumo;Birch;SR;\n201;Maisie;Tolworthy;Ash;SR;A").rows
    assert [(row.kind, row.key) for row in rows] == [(Verdict.ADD, None), (Verdict.CHANGE, 1)]


def test_a_number_that_stays_somebody_elses_is_refused():
    rows = plan("101;Ngozi;Adelumo;Birch;SR;\n;Maisie;Tolworthy;Ash;SR;A").rows
    assert [row.kind for row in rows] == [Verdict.REFUSE, Verdict.SAME]
    assert rows[0].notes == ("number 101 is somebody else's",)


def test_a_row_refused_for_another_reason_keeps_its_number_from_others():
    barred = Person(1, MAISIE.values, read=False, barred={"JR": "cards of classes 3"})
    rows = plan("201;Maisie;Tolworthy;Ash;SR;A\n101;Ngozi;A;;SR;", (barred,)).rows
    assert [row.kind for row in rows] == [Verdict.CHANGE, Verdict.ADD]
    rows = plan("101;Maisie;Tolworthy;Ash;JR;A\n102;Ngozi;A;;SR;", (barred,)).rows
    assert [row.kind for row in rows] == [Verdict.REFUSE, Verdict.ADD]
    assert rows[0].notes == ("cards of classes 3",)


def test_after_something_was_read_numbers_stay_and_nobody_becomes_another_person():
    read = Person(1, MAISIE.values, read=True)
    people = (read, ZOE)
    assert "numbers stay as they are" in only("201;Maisie;Tolworthy;Ash;SR;", people, renumber=False).notes[0]
    assert "something of theirs was read" in only("101;Ngozi;Adelumo;Ash;SR;", people, renumber=False).notes[0]
    assert only("101;Maisy;Tolworthy;Ash;SR;", people, renumber=False).kind == Verdict.CHANGE
    other = only("102;Ngozi;Adelumo;Ash;SR;", people, renumber=False)
    assert (other.kind, other.notes) == (Verdict.CHANGE, ("another person takes this number",))


def test_a_division_can_be_told_what_it_means_or_be_the_same_for_all():
    assert only("201;a;b;;Novice;", divisions={"Novice": "JR"}).values.division == "JR"
    assert only("201;a;b;;;", division="JR").values.division == "JR"


def test_whole_names_and_yes_and_no():
    headings = "No;Name;Division;Show name;Present\n"
    row = only("201;Lee, Ann;SR;no;yes", headings=headings)
    assert row.values == Values(201, "SR", "", "Ann", "Lee", show_name=False)
    assert "it can be yes, no or empty" in only("201;Ann;SR;maybe;", headings=headings).notes[0]


def test_an_individual_with_a_team_named_is_told_that_it_is_not_kept():
    assert only("201;a;b;Ash;SR;;Individual").notes == ("competes as an individual, so 'Ash' is not kept",)


ROWS = st.lists(
    st.tuples(
        st.sampled_from(["", "101", "102", "103", "104", "201", "x"]),
        st.sampled_from(["", "Maisie", "Zoë", "Bo", "Ann"]),
        st.sampled_from(["", "Tolworthy", "Lindqvarn", "Ray"]),
        st.sampled_from(["", "Ash", "ash", "ASH ", "Birch"]),
        st.sampled_from(["", "SR", "Juniors", "Novice"]),
        st.sampled_from(["", "A"]),
        st.sampled_from(["", "individual", "member"]),
    ),
    min_size=1,
    max_size=8,
)


@settings(deadline=None)
@example(
    rows=[("", "Maisie", "Tolworthy", "", "SR", "", ""), ("101", "", "Tolworthy", "", "", "", "individual")],
    renumber=False,
    start=None,
    division="",
)
@given(ROWS, st.booleans(), st.sampled_from([None, 101]), st.sampled_from(["", "JR"]))
def test_whatever_is_loaded_numbers_stay_unique_and_loading_it_again_changes_nothing(rows, renumber, start, division):
    text = "\n".join(";".join(row) for row in rows)
    layout = {"numbers_from": start, "division": division}
    first = plan(text, renumber=renumber, **layout)
    assert len(first.rows) == sum(any(cell.strip() for cell in row) for row in rows)
    people = {person.key: person for person in CAST}
    for key, row in enumerate(first.rows, 100):
        if row.kind == Verdict.CHANGE:
            people[row.key] = Person(row.key, row.values)
        elif row.kind == Verdict.ADD:
            people[key] = Person(key, row.values)
    after = tuple(people.values())
    assert len({person.values.number for person in after}) == len(after)
    again = plan(text, after, renumber, **layout)
    settled = [row for row, before in zip(again.rows, first.rows, strict=True) if before.kind != Verdict.REFUSE]
    assert [row.kind for row in settled] == [Verdict.SAME] * len(settled)
