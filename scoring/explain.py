"""A contest's rules, keys and ties in words. Works on the same records as the scoring, and scores nothing itself."""

from __future__ import annotations

from collections.abc import Iterable

from scoring.placing import lost_pairs
from scoring.ranking import SHARED
from scoring.record import Division, Part, Record, Rules
from scoring.result import PLACING, REASONS
from scoring.terminal import LIST_NAMES

PEOPLE_SHOWN = {
    "number": "Contestants are shown by number only.",
    "initials": "Contestants are shown by number and initials.",
    "name": "Contestants are shown by number and name.",
}

NEGATIVE_SCORES = {
    "keep": "A placing score below 0 is kept as it is.",
    "zero": "A placing score below 0 counts as 0.",
}

UNREADABLE_CARDS = {
    "zero": "A card that cannot be read earns 0.",
    "lowest": "A card that cannot be read earns the lowest score its class can give.",
}

SHORT_TEAMS = {
    "zero": "is ranked; whoever is missing scores 0.",
    "unranked": "is not ranked.",
}

COUNTING_MEMBERS = {
    "fixed": "Those who count overall count in every list.",
    "each": "Who counts is chosen anew for every list.",
}

STEPS = {
    "total": "overall total",
    REASONS: "all reasons",
    PLACING: "all placing scores",
    "best-class": "highest single placing score",
    "left-out": "best member who does not count",
}
"""The tie steps that name nothing else, as noun phrases: "decided by ..."."""


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun: `1 card`, `2 cards`, `2 classes`."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def listed(words: Iterable[str]) -> str:
    """Words as a sentence lists them: `A`, `A and B`, `A, B and C`."""
    *most, last = [*words] or [""]
    return f"{', '.join(most)} and {last}" if most else last


def list_names(record: Record) -> dict[str, str]:
    """What each list is called, by its code."""
    return LIST_NAMES | {category.code: category.name for category in record.categories}


def rules_in_words(rules: Rules) -> list[str]:
    """What holds for the whole contest, one sentence a rule."""
    return [
        "Every card is read once." if rules.readings_per_card == 1 else "Every card is read twice.",
        NEGATIVE_SCORES[rules.negative_scores],
        UNREADABLE_CARDS[rules.unreadable_card],
        "A contestant without a card scores 0 in that class.",
        "A reasons score also counts in the category of its class."
        if rules.reasons_in_category
        else "A reasons score counts in no category.",
        PEOPLE_SHOWN[rules.show_people_as],
    ]


def team_rule(division: Division) -> list[str]:
    """A division's team rules, one sentence each."""
    most = division.team_counting
    if most == 0:
        return ["Every member of a team counts."]
    best = f"The best {most} members of a team count." if most > 1 else "The best member of a team counts."
    short = f"A team of fewer than {most} {SHORT_TEAMS[division.short_team]}" if most > 1 else ""
    return [rule for rule in (best, short, COUNTING_MEMBERS[division.counting_members]) if rule]


def part_in_words(part: Part) -> str:
    """What a part gives, and to whom: `up to 50 points for each contestant`."""
    whom = "contestant" if part.scope == "individual" else "team"
    return f"up to {counted(part.most, 'point')} for each {whom}"


def tie_step(step: str, record: Record) -> str:
    """A tie step as a noun phrase, such as `placing score in class 3` for `class:3`."""
    kind, _, name = step.partition(":")
    if kind == "class":
        return f"placing score in class {name}"
    if kind == "category":
        return f"total in {list_names(record).get(name, name)}"
    if kind == "part":
        return next((part.name for part in record.parts if part.code == name), name)
    return STEPS[step]


def ties_in_words(record: Record) -> dict[str, str]:
    """What to say beside a row, by its `tie`: nothing, that the rank is shared, or the step that decided."""
    steps = {*record.individual_ties, *record.team_ties}
    return {"": "", SHARED: "shared rank"} | {step: f"decided by {tie_step(step, record)}" for step in steps}


def losses(official: str, cuts: tuple[int, int, int], placing: str) -> str:
    """Which pairs a placing has the wrong way round, and what each costs: `1 over 3 costs 3; 4 over 2 costs 2`."""
    pairs = lost_pairs(official, cuts, placing)
    return "; ".join(f"{pair.below} over {pair.above} costs {pair.points}" for pair in pairs)
