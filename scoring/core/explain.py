"""A contest's rules, keys and ties in words. Works on the same records as the scoring, and scores nothing itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, pairwise

from scoring.core.deciding import decisions_on, how_decided
from scoring.core.placing import PAIRS, lost_by
from scoring.core.points import figure, in_thousands
from scoring.core.ranking import SHARED
from scoring.core.record import IN_SET, DecidedTie, Division, Part, Record, Rules
from scoring.core.result import OVERALL, PLACING, REASONS, Result, Standing
from scoring.core.step_values import DivisionValues, individual_keys, team_keys
from scoring.core.steps import Reference, find_step, read_step
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop, ngettext

LIST_NAMES = {OVERALL: gettext_noop("Overall"), PLACING: gettext_noop("Placing"), REASONS: gettext_noop("Reasons")}
PEOPLE_SHOWN = {
    "number": gettext_noop("Contestants are shown by number only."),
    "initials": gettext_noop("Contestants are shown by number and initials."),
    "name": gettext_noop("Contestants are shown by number and name."),
}

NEGATIVE_SCORES = {
    "keep": gettext_noop("A placing score below 0 is kept as it is."),
    "zero": gettext_noop("A placing score below 0 counts as 0."),
}

UNREADABLE_CARDS = {
    "zero": gettext_noop("A card that cannot be read earns 0."),
    "lowest": gettext_noop("A card that cannot be read earns the lowest score its class can give."),
}

SHORT_TEAMS = {
    "zero": gettext_noop("A team of fewer than {count} is ranked; whoever is missing scores 0."),
    "unranked": gettext_noop("A team of fewer than {count} is not ranked."),
}

COUNTING_MEMBERS = {
    "fixed": gettext_noop("Those who count overall count in every list."),
    "each": gettext_noop("Who counts is chosen anew for every list."),
}

NAMED = 12
"""Rows of the same total that a sentence names; of more it says only how many more there are."""


def as_sentence(reason: object) -> str:
    """A reason, or an exception that tells one, as a sentence of its own."""
    words = str(reason)
    return f"{words[:1].upper()}{words[1:]}" + ("" if words.endswith((".", "?", "!")) else ".")


def listed(words: Iterable[str]) -> str:
    """Words as a sentence lists them: `A`, `A and B`, `A, B and C`."""
    *most, last = [*words] or [""]
    return _("{first_ones} and {last}").format(first_ones=", ".join(most), last=last) if most else last


def some_of(words: Sequence[str], most: int = NAMED) -> str:
    """Words as a sentence lists them, but of a long list only the first and how many more: `A, B and 8 more`."""
    left = len(words) - most
    if left <= 0:
        return listed(words)
    return listed([*words[:most], ngettext("{count} more", "{count} more", left).format(count=in_thousands(left))])


def counted_each(held: Iterable[tuple[tuple[str, str], int]]) -> list[str]:
    """How many there are of each thing, by its two forms: `1 card`, `2 cards`. What there is none of is not said."""
    return [ngettext(*forms, number).format(count=in_thousands(number)) for forms, number in held if number]


def standardised_note() -> str:
    """What to say wherever reasons count standardised, without a full stop."""
    return _("Reasons standardised across officials, as the superintendent set")


def list_names(record: Record) -> dict[str, str]:
    """What each list is called, by its code."""
    return {code: _(name) for code, name in LIST_NAMES.items()} | {
        category.code: category.name for category in record.categories
    }


def name_of_list(record: Record, standing: Standing) -> str:
    """What a list is called among those of one division: with its set, where there are several sets of results."""
    name, (_division, in_set, code) = list_names(record)[standing.code], standing.division.partition(IN_SET)
    return f"{next(of.name for of in record.sets if of.code == code)}, {name}" if in_set else name


def rules_in_words(rules: Rules) -> list[str]:
    """What holds for the whole contest, one sentence a rule."""
    return [
        _("Every card is read once.") if rules.readings_per_card == 1 else _("Every card is read twice."),
        _(NEGATIVE_SCORES[rules.negative_scores]),
        _(UNREADABLE_CARDS[rules.unreadable_card]),
        _("A contestant without a card scores 0 in that class."),
        _("A reasons score also counts in the category of its class.")
        if rules.reasons_in_category
        else _("A reasons score counts in no category."),
        *([f"{standardised_note()}."] if rules.reasons_standardised else []),
        _(PEOPLE_SHOWN[rules.show_people_as]),
    ]


def team_rule(division: Division) -> list[str]:
    """A division's own rules, those of its teams first, one sentence each."""
    least = division.reasons_least
    told = [_("A reasons score that was given counts {points} at least.").format(points=least)] if least else []
    return [*_who_counts(division), *told]


def _who_counts(division: Division) -> list[str]:
    most = division.team_counting
    if most == 0:
        return [_("Every member of a team counts.")]
    best = ngettext("The best member of a team counts.", "The best {count} members of a team count.", most)
    rules = [best, _(SHORT_TEAMS[division.short_team])] if most > 1 else [best]
    return [*(rule.format(count=most) for rule in rules), _(COUNTING_MEMBERS[division.counting_members])]


def part_in_words(part: Part) -> str:
    """What a part gives, and to whom: `up to 50 points for each contestant`. What keep/cull can give tells its values,
    which are secret."""
    if part.animals:
        words = _("keep/cull: each contestant keeps {keep} of {animals}")
        return words.format(keep=part.keep, animals=", ".join(part.animals))
    words = (
        ngettext("up to {count} point for each contestant", "up to {count} points for each contestant", part.most)
        if part.scope == "individual"
        else ngettext("up to {count} point for each team", "up to {count} points for each team", part.most)
    )
    return words.format(count=in_thousands(part.most))


def tie_step(step: str, record: Record) -> str:
    """A tie step as a noun phrase, such as `placing score in class 3` for `class:3`; what is no step, as it stands."""
    if not (known := find_step(step)):
        return step
    kind, name = known
    return _(kind.words).format(name=_looked_at(kind.looks_at, name, record))


def _looked_at(reference: Reference | None, name: str, record: Record) -> str:
    """What a step looks at, as people call it: a class by its number, a category or part by its name."""
    if reference == "category":
        return list_names(record).get(name, name)
    if reference == "part":
        return next((part.name for part in record.parts if part.code == name), name)
    return name


def ties_in_words(record: Record) -> dict[str, str]:
    """What to say beside a row, by its `tie`: nothing, that the rank is shared, or the step that decided."""
    steps = {*record.individual_ties, *record.team_ties}
    decided = {step: _("decided by {step}").format(step=tie_step(step, record)) for step in steps}
    return {"": "", SHARED: _("shared rank")} | {how: _(words) for how, words in BY_DECISION.items()} | decided


BY_DECISION = {"draw": gettext_noop("decided by draw"), "word": gettext_noop("decided by an official’s word")}
AHEAD_BY = {
    "draw": gettext_noop("ahead of {others} by draw: {reason}"),
    "word": gettext_noop("ahead of {others} by an official’s word: {reason}"),
}
BEHIND_BY = {
    "draw": gettext_noop("behind {others} by draw: {reason}"),
    "word": gettext_noop("behind {others} by an official’s word: {reason}"),
}
AHEAD = gettext_noop("ahead of {others} on {step}, {own} to {theirs}")
BEHIND = gettext_noop("behind {others} on {step}, {own} to {theirs}")


def how_ties_fell(
    record: Record,
    result: Result,
    standing: Standing,
    values: DivisionValues | None = None,
    *,
    with_total: bool = True,
) -> tuple[list[str], list[str]]:
    """How each row came to stand where it does among those of the same total, individuals and then teams.

    Empty for a row whose total nobody else has; else such as `level at 612; ahead of 104 on reasons, 188 to 185`. Rows
    of one total are told without a look at the others, so `standing` may hold some of its list's totals only. `values`
    are the division's, for whoever asks several times. Without `with_total` a row does not say at what it is level:
    beside the total itself.
    """
    values = values or DivisionValues(record, result, standing.division)
    numbers, teams = [str(row.number) for row in standing.individuals], [row.team for row in standing.teams]
    of = standing.division, standing.code
    drawn = how_decided(numbers, decisions_on(record, *of, "individuals"))
    teams_drawn = how_decided(teams, decisions_on(record, *of, "teams"))
    return (
        _fallen(individual_keys(record, values, standing), numbers, record, False, with_total, drawn),
        _fallen(team_keys(record, values, standing), teams, record, True, with_total, teams_drawn),
    )


def _fallen(
    keys: Sequence[tuple[Fraction, ...]],
    names: Sequence[str],
    record: Record,
    of_teams: bool,
    with_total: bool,
    drawn: Mapping[str, DecidedTie],
) -> list[str]:
    said = [""] * len(keys)
    whose = [isolated(name) for name in names]
    level, behind, ahead = _("level at {total}"), _(BEHIND), _(AHEAD)
    steps = record.team_ties if of_teams else record.individual_ties
    words = [_ahead_on(step, record, of_teams) for step in steps]
    for total, level_runs in groupby(_runs(keys), key=lambda run: keys[run[0]][0]):
        of_total = list(level_runs)
        parted: list[list[str]] = [[] for _run in of_total]
        for place, (above, below) in enumerate(pairwise(of_total)):
            step, more, less = _parted(keys[above[0]], keys[below[0]])
            those_below, those_above = (some_of(whose[run[0] : run[1] + 1]) for run in (below, above))
            if step == len(words):
                decision = drawn[names[above[0]]]
                how, reason = decision.how, decision.reason
                parted[place].append(_(AHEAD_BY[how]).format(others=those_below, reason=reason))
                parted[place + 1].append(_(BEHIND_BY[how]).format(others=those_above, reason=reason))
                continue
            on, best, next_best = words[step], figure(more), figure(less)
            parted[place].append(ahead.format(others=those_below, step=on, own=best, theirs=next_best))
            parted[place + 1].append(behind.format(others=those_above, step=on, own=next_best, theirs=best))
        if len(of_total) == 1 and of_total[0][0] == of_total[0][1]:
            continue
        level_at = [level.format(total=figure(total))] if with_total else []
        for (first, last), sides in zip(of_total, parted, strict=True):
            for row in range(first, last + 1):
                shared = [_shared([*whose[first:row], *whose[row + 1 : last + 1]], steps)] if first < last else []
                said[row] = "; ".join([*level_at, *shared, *sides])
    return said


def _shared(others: Sequence[str], steps: Sequence[str]) -> str:
    words = (
        _("shares its place with {others}, equal in every tie step") if steps else _("shares its place with {others}")
    )
    return words.format(others=some_of(others))


def _runs(keys: Sequence[tuple[Fraction, ...]]) -> list[tuple[int, int]]:
    """The first and last place of every run of rows that are equal in everything."""
    runs: list[tuple[int, int]] = []
    for place, key in enumerate(keys):
        if runs and keys[runs[-1][0]] == key:
            runs[-1] = runs[-1][0], place
        else:
            runs.append((place, place))
    return runs


def _parted(key: tuple[Fraction, ...], other: tuple[Fraction, ...]) -> tuple[int, Fraction, Fraction]:
    """The first step in which two rows of the same total differ, by its place, with both values."""
    for step, (mine, theirs) in enumerate(zip(key[1:], other[1:], strict=True)):
        if mine != theirs:
            return step, mine, theirs
    raise AssertionError("rows that differ in nothing are one run")


def _ahead_on(step: str, record: Record, of_teams: bool) -> str:
    kind, name = read_step(step)
    words = (of_teams and kind.teams_ahead_on) or kind.ahead_on
    return _(words).format(name=isolated(_looked_at(kind.looks_at, name, record)))


def isolated(name: str) -> str:
    """A name within a sentence, so that one written from right to left does not turn what is around it."""
    return name if name.isascii() else f"\u2068{name}\u2069"


def pairs_lost(official: str, cuts: tuple[int, ...], placing: str) -> list[str]:
    """Each pair that a placing has the wrong way round, and what it cost: `3 over 1 was 1 over 3: −5`."""
    words = _("{above} over {below} was {below} over {above}: {points}")
    return [
        words.format(above=pair.above, below=pair.below, points=figure(-pair.points))
        for pair in lost_by(official, cuts, placing)
    ]


def told_to(official: str, cuts: tuple[int, ...], placing: str) -> list[str]:
    """Each pair that a placing has the wrong way round, told to whoever placed it.

    Such as `you had 1 over 3, official 3 over 1: −3`. Of animals that the official has further apart it says which
    cuts add up: `−8 (3+5)`.
    """
    words = _("you had {below} over {above}, official {above} over {below}: {points}")
    told = []
    for pair in lost_by(official, cuts, placing):
        between = cuts[official.index(pair.above) : official.index(pair.below)]
        points = figure(-pair.points)
        if len(between) > 1:
            points = f"{points} ({'+'.join(map(str, between))})"
        told.append(words.format(above=pair.above, below=pair.below, points=points))
    return told


def noted(decided_by: str, grants: str, faults: str) -> str:
    """What an official noted on a pair, in one line; empty where nothing is."""
    granted = _("grants {words}").format(words=grants) if grants else ""
    faulted = _("faults {words}").format(words=faults) if faults else ""
    return "; ".join(filter(None, (decided_by, granted, faulted)))


def key_in_words(official: str, cuts: Sequence[int]) -> str:
    """A key as it is read out."""
    placing = ", ".join(official)
    if len(cuts) != len(PAIRS):
        return _("{placing}; cuts {cuts}, the best pair’s first").format(
            placing=placing, cuts=", ".join(map(str, cuts))
        )
    top, middle, bottom = cuts
    text = _("{placing}; top cut {top}, middle cut {middle}, bottom cut {bottom}")
    return text.format(placing=placing, top=top, middle=middle, bottom=bottom)


def losses(official: str, cuts: tuple[int, ...], placing: str) -> str:
    """Which pairs a placing has the wrong way round, and what each costs: `1 over 3 costs 3; 4 over 2 costs 2`."""
    pairs = lost_by(official, cuts, placing)
    words = _("{above} over {below} costs {points}")
    return "; ".join(words.format(above=pair.below, below=pair.above, points=pair.points) for pair in pairs)


NUMBERS_NAMED = 12
"""Numbers that a line names; of more it says only how many more there are."""


def first_numbers(of: Iterable[int | str]) -> str:
    """Numbers in a line, the first dozen of them."""
    named = [str(number) for number in of]
    return ", ".join(named) if len(named) <= NUMBERS_NAMED else some_of(named, NUMBERS_NAMED)
