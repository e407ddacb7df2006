"""Most contestants are minors: which papers bear a name whose family says no, and which bear names at all."""

import pytest

from scoring.core.record import Card, Rules
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from tests.factories import ClassFactory, RecordFactory
from tests.scoring.prints.papers import a_person, html, material_of

HIDDEN, SHOWN = "Hiddenname", "Shownname"
THE_FAMILYS_OWN = {"award-sheets", "packets", "certificates", "coach-summaries"}
OF_A_DUTY = {"check-in"}
WHERE_OTHERS_SEE = {"ribbons", "ribbon-labels", "script", "name-badges", "champions"}


@pytest.fixture(scope="module")
def material():
    people = (
        a_person(101, team="Barley Hill", first_name="Ada", last_name=HIDDEN, show_name=False, group="A"),
        a_person(102, team="Barley Hill", first_name="Bea", last_name=SHOWN, group="A"),
    )
    return material_of(
        RecordFactory(
            rules=Rules(name="Contest", show_people_as="name"),
            classes=(ClassFactory(reasons=("SR",)),),
            contestants=people,
            cards=tuple(Card(1, person.number, "3124") for person in people),
        ),
        say={101: f"say-{HIDDEN}"},
    )


@pytest.mark.parametrize("document", DOCUMENTS)
def test_a_hidden_name_stands_only_where_it_belongs(material, document):
    assert (HIDDEN in html(material, document)) == (document in THE_FAMILYS_OWN | OF_A_DUTY)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_other_names_stand_where_they_are_needed(material, document):
    public = {"results", "standings"}  # as the contest shows people: here by name
    expected = document in THE_FAMILYS_OWN | OF_A_DUTY | WHERE_OTHERS_SEE | public
    assert (SHOWN in html(material, document)) == expected


def test_posted_lists_show_people_as_the_contest_does():
    people = (a_person(101, last_name=SHOWN, team="Barley Hill"),)
    record = RecordFactory(rules=Rules(name="Contest"), contestants=people, cards=(Card(1, 101, "3124"),))
    assert SHOWN not in html(material_of(record), "results")


def test_check_in_lists_say_that_they_are_not_for_a_wall(material):
    assert "Not to be posted" in html(material, "check-in")


def test_a_packet_of_one_names_nobody_else(material):
    page = html(material, "packets", Choice(numbers=(102,)))
    assert SHOWN in page
    assert HIDDEN not in page
