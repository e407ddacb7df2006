"""Rules, parts and lists in words."""

from dataclasses import replace

import pytest

from scoring.core.explain import (
    first_numbers,
    isolated,
    listed,
    losses,
    part_in_words,
    rules_in_words,
    some_of,
    team_rule,
)
from scoring.core.people import shown_name
from scoring.core.points import figure
from scoring.core.record import Rules
from tests.factories import ContestantFactory, DivisionFactory, PartFactory


def test_the_rules_as_they_are_without_a_word_from_anybody():
    assert rules_in_words(Rules("Contest")) == [
        "Every card is read twice.",
        "A placing score below 0 is kept as it is.",
        "A card that cannot be read earns 0.",
        "A contestant without a card scores 0 in that class.",
        "A reasons score also counts in the category of its class.",
        "Contestants are shown by number only.",
    ]


@pytest.mark.parametrize(
    ("setting", "place", "words"),
    [
        ({"readings_per_card": 1}, 0, "Every card is read once."),
        ({"negative_scores": "zero"}, 1, "A placing score below 0 counts as 0."),
        ({"unreadable_card": "lowest"}, 2, "A card that cannot be read earns the lowest score its class can give."),
        ({"reasons_in_category": False}, 4, "A reasons score counts in no category."),
        ({"reasons_standardised": True}, 5, "Reasons standardised across officials, as the superintendent set."),
        ({"show_people_as": "initials"}, 5, "Contestants are shown by number and initials."),
        ({"show_people_as": "name"}, 5, "Contestants are shown by number and name."),
    ],
)
def test_each_setting_has_its_sentence(setting, place, words):
    plain = rules_in_words(Rules("Contest"))
    told = rules_in_words(replace(Rules("Contest"), **setting))
    assert told[place] == words
    assert len([sentence for sentence in told if sentence not in plain]) == 1


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"team_counting": 0}, ["Every member of a team counts."]),
        ({"team_counting": 1}, ["The best member of a team counts.", "Those who count overall count in every list."]),
        (
            {"team_counting": 2, "counting_members": "each"},
            [
                "The best 2 members of a team count.",
                "A team of fewer than 2 is ranked; whoever is missing scores 0.",
                "Who counts is chosen anew for every list.",
            ],
        ),
        (
            {"team_counting": 3, "short_team": "unranked"},
            [
                "The best 3 members of a team count.",
                "A team of fewer than 3 is not ranked.",
                "Those who count overall count in every list.",
            ],
        ),
    ],
)
def test_how_a_team_is_made_up(settings, words):
    assert team_rule(DivisionFactory(**settings)) == words


def test_what_a_part_gives_and_to_whom():
    assert part_in_words(PartFactory(most=50)) == "up to 50 points for each contestant"
    assert part_in_words(PartFactory(most=1, scope="team")) == "up to 1 point for each team"


def test_numbers_and_lists_as_sentences_have_them():
    assert [listed("ABC"[:count]) for count in range(4)] == ["", "A", "A and B", "A, B and C"]
    assert some_of("ABC", most=3) == "A, B and C"
    assert some_of("ABCD", most=3) == "A, B, C and 1 more"
    assert first_numbers(range(1, 13)) == "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12"
    assert first_numbers(range(1, 15)) == "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 2 more"


def test_figures_and_names_stand_well_in_a_sentence():
    assert (figure(-3), figure(41)) == ("−3", "41")
    assert (isolated("Oak"), isolated("Ötztal")) == ("Oak", "\u2068Ötztal\u2069")
    assert losses("3124", (3, 5, 2), "1342") == "1 over 3 costs 3; 4 over 2 costs 2"
    assert losses("3124", (3, 5, 2), "3124") == ""


@pytest.mark.parametrize(
    ("names", "shown_as", "allowed", "shown"),
    [
        (("Ann", "Reed"), "name", True, "Ann Reed"),
        (("", "Reed"), "name", True, "Reed"),
        (("Ann", "Reed"), "initials", True, "A. R."),
        (("Ann", ""), "initials", True, "A."),
        (("Ann", "Reed"), "number", True, ""),
        (("Ann", "Reed"), "name", False, ""),
        (("Ann", "Reed"), "initials", False, ""),
    ],
)
def test_a_name_is_shown_as_the_contest_says_and_the_family_allows(names, shown_as, allowed, shown):
    contestant = ContestantFactory(first_name=names[0], last_name=names[1], show_name=allowed)
    assert shown_name(contestant, shown_as) == shown
