"""A second scorer, written sentence by sentence from the book format, to hold the real tally against.

It is as plain and slow as it can be: every value is looked up anew in the record and every point is a `Fraction`. It
shares no code with the tally, not even the grid.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property

from scoring.core.record import Card, Contestant, Division, JudgingClass, Part, Record

ZERO = Fraction(0)


@dataclass(frozen=True)
class SlowResult:
    individuals: list[tuple[str, str, int, int, str, Fraction, str]]
    """division, list, rank, number, team, total, tie"""
    teams: list[tuple[str, str, int, str, Fraction, tuple[int, ...], str]]
    """division, list, rank, team, total, counting, tie"""
    scores: dict[tuple[int, str], Fraction]
    team_scores: dict[tuple[str, str, str], Fraction]


def slow_tally(record: Record) -> SlowResult:
    result = SlowResult([], [], {}, {})
    for division in record.divisions:
        _SlowDivision(record, division).fill(result)
    return result


def placing_score(official: str, cuts: tuple[int, ...], placing: str, perfect: int) -> int:
    """'For each pair of animals that the card puts the other way round than the official placing, the score loses the
    sum of the cuts that lie between the two in the official order. Score = perfect - losses.'"""
    score = perfect
    for lower in range(len(official)):
        for upper in range(lower):
            if placing.index(official[upper]) > placing.index(official[lower]):
                for cut in range(upper, lower):
                    score -= cuts[cut]
    return score


@cache
def _all_placings() -> list[str]:
    found = []
    for number in range(1234, 4322):
        if sorted(str(number)) == ["1", "2", "3", "4"]:
            found.append(str(number))
    return found


def _worst_candidates(judged: JudgingClass) -> list[str]:
    # 'The lowest score of a class is that of the official placing read backwards': looked for among all of four
    # animals, and taken at its word for others.
    assert judged.official is not None
    return _all_placings() if judged.animals == "1234" else [judged.official[::-1]]


class _SlowDivision:
    def __init__(self, record: Record, division: Division) -> None:
        self.record = record
        self.division = division
        self.code = division.code
        # 'who is not present is ranked nowhere, counts for no team and appears in no result file'
        self.people = [c for c in record.contestants if c.division == self.code and c.present]

    # What the division does

    @cached_property
    def placing_classes(self) -> list[JudgingClass]:
        # 'A class without an official placing yet (and without `full_points`), or void, counts for nobody.'
        return [
            c
            for c in self.record.classes
            if self.code in c.divisions
            and c.places
            and not self.is_void(c)
            and (c.official is not None or c.full_points)
        ]

    @cached_property
    def reasons_classes(self) -> list[JudgingClass]:
        # 'false: a reasons-only class, no placing score': such a class waits for no official placing.
        return [
            c
            for c in self.record.classes
            if self.code in c.reasons
            and not self.is_void(c)
            and (c.official is not None or not c.places or c.full_points)
        ]

    def is_void(self, judged: JudgingClass) -> bool:
        # 'one void for a division, for nobody of it'
        return judged.void or self.code in judged.void_divisions

    @cached_property
    def individual_parts(self) -> list:
        # 'values: left out until the officials hand them in: the part counts for nobody till then'
        return [
            p
            for p in self.record.parts
            if p.scope == "individual" and self.code in p.divisions and (not p.animals or p.values is not None)
        ]

    @cached_property
    def team_parts(self) -> list:
        return [p for p in self.record.parts if p.scope == "team" and self.code in p.divisions]

    # Scores of one contestant

    def placing(self, person: Contestant, judged: JudgingClass) -> Fraction:
        if judged.full_points:  # 'every present contestant has the perfect placing score, with or without a card'
            return Fraction(judged.perfect)
        cards = [c for c in self.record.cards if c.class_number == judged.number and c.number == person.number]
        assert len(cards) < 2
        if not cards or cards[0].placing == "":  # 'empty means no card was handed in (score 0)'
            return ZERO
        if cards[0].placing == "unreadable":
            if self.record.rules.unreadable_card == "zero":
                return ZERO
            # 'the smallest score that class's cuts can give, after negative_scores'
            return min(self.kept(judged, placing) for placing in _worst_candidates(judged))
        return self.kept(judged, cards[0].placing)

    def kept(self, judged: JudgingClass, placing: str) -> Fraction:
        assert judged.official is not None and judged.cuts is not None
        score = placing_score(judged.official, judged.cuts, placing, judged.perfect)
        if score < 0 and self.record.rules.negative_scores == "zero":
            score = 0
        return Fraction(score)

    def reasons(self, person: Contestant, judged: JudgingClass) -> Fraction:
        # 'Each official's score is raised to `reasons_least` of the contestant's division before the mean.'
        given = [
            max(Fraction(r.hundredths, 100), Fraction(self.division.reasons_least))
            for r in self.record.reasons
            if r.class_number == judged.number and r.number == person.number
        ]
        return sum(given, ZERO) / len(given) if given else ZERO

    def part(self, person: Contestant, code: str) -> Fraction:
        (part,) = [p for p in self.record.parts if p.code == code]
        if part.animals:
            return self.kept_or_culled(person, part)
        return sum(
            (Fraction(m.hundredths, 100) for m in self.record.marks if (m.part, m.number) == (code, person.number)),
            ZERO,
        )

    def kept_or_culled(self, person: Contestant, part: Part) -> Fraction:
        # 'Exactly `keep` different animals earn the sum of their values; any other number, or unreadable, earns 0'
        points = ZERO
        for choice in self.record.choices:
            if (choice.part, choice.number) != (part.code, person.number) or choice.kept == "unreadable":
                continue
            if len(set(choice.kept)) == part.keep:
                for label, value in zip(part.animals, part.values or (), strict=True):
                    points += value if label in choice.kept else 0
        return points

    def team_part(self, team: str, code: str) -> Fraction:
        return sum(
            (
                Fraction(m.hundredths, 100)
                for m in self.record.marks
                if (m.part, m.number, m.division, m.team) == (code, None, self.code, team)
            ),
            ZERO,
        )

    # Totals of one contestant

    def total(self, person: Contestant, list_code: str) -> Fraction:
        total = ZERO
        for judged in self.placing_classes:
            if list_code in ("overall", "placing") or judged.category == list_code:
                total += self.placing(person, judged)
        for judged in self.reasons_classes:
            in_category = judged.category == list_code and self.record.rules.reasons_in_category
            if list_code in ("overall", "reasons") or in_category:
                total += self.reasons(person, judged)
        for part in self.individual_parts:
            if list_code == "overall" or part.category == list_code:
                total += self.part(person, part.code)
        return total

    def step(self, person: Contestant, step: str) -> Fraction:
        kind, _, name = step.partition(":")
        if step == "total":
            return self.total(person, "overall")
        if step in ("reasons", "placing"):
            return self.total(person, step)
        if step == "best-class":
            return max((self.placing(person, judged) for judged in self.placing_classes), default=ZERO)
        if kind == "class":
            return sum((self.placing(person, c) for c in self.placing_classes if str(c.number) == name), ZERO)
        if kind == "category":
            return self.total(person, name)
        if kind == "part":
            return sum((self.part(person, p.code) for p in self.individual_parts if p.code == name), ZERO)
        raise AssertionError(step)

    # Teams

    @cached_property
    def teams(self) -> dict[str, list[Contestant]]:
        teams: dict[str, list[Contestant]] = {}
        for person in self.people:
            if person.team:
                teams.setdefault(person.team, []).append(person)
        return teams

    def counting(self, team: str, list_code: str) -> list[Contestant]:
        members = list(self.teams[team])
        if self.division.team_counting == 0:
            return members
        by = "overall" if self.division.counting_members == "fixed" else list_code

        def better_first(person: Contestant) -> list[Fraction]:
            steps = [-self.step(person, step) for step in self.record.individual_ties]
            return [-self.total(person, by), *steps, Fraction(person.number)]

        members.sort(key=better_first)
        return members[: self.division.team_counting]

    def ranked_teams(self) -> list[str]:
        if self.division.short_team == "zero":
            return list(self.teams)
        return [team for team, members in self.teams.items() if len(members) >= self.division.team_counting]

    def team_total(self, team: str, members: list[Contestant], list_code: str) -> Fraction:
        total = sum((self.total(person, list_code) for person in members), ZERO)
        for part in self.team_parts:
            if list_code == "overall" or part.category == list_code:
                total += self.team_part(team, part.code)
        return total

    def team_step(self, team: str, members: list[Contestant], step: str) -> Fraction:
        kind, _, name = step.partition(":")
        if step == "left-out":
            counting = {person.number for person in members}
            rest = [self.total(p, "overall") for p in self.teams[team] if p.number not in counting]
            return max(rest, default=ZERO)
        if step == "total":
            return self.team_total(team, members, "overall")
        if kind == "category":
            return self.team_total(team, members, name)
        if kind == "part" and any(p.code == name and p.scope == "team" for p in self.record.parts):
            return sum((self.team_part(team, p.code) for p in self.team_parts if p.code == name), ZERO)
        return sum((self.step(person, step) for person in members), ZERO)

    # Lists

    def lists(self) -> list[tuple[str, bool]]:
        """The codes of the division's lists, and whether individuals do anything that counts there."""
        found = [("overall", True)]
        if self.placing_classes:
            found.append(("placing", True))
        if self.reasons_classes:
            found.append(("reasons", True))
        for category in self.record.categories:
            alone = any(c.category == category.code for c in self.placing_classes)
            alone = alone or any(p.category == category.code for p in self.individual_parts)
            if self.record.rules.reasons_in_category:
                alone = alone or any(c.category == category.code for c in self.reasons_classes)
            if alone or any(p.category == category.code for p in self.team_parts):
                found.append((category.code, alone))
        return found

    def fill(self, result: SlowResult) -> None:
        for person in self.people:
            for judged in self.placing_classes:
                result.scores[person.number, f"class:{judged.number}"] = self.placing(person, judged)
            for judged in self.reasons_classes:
                result.scores[person.number, f"reasons:{judged.number}"] = self.reasons(person, judged)
            for part in self.individual_parts:
                result.scores[person.number, f"part:{part.code}"] = self.part(person, part.code)
        for team in self.teams:
            for part in self.team_parts:
                result.team_scores[self.code, team, f"part:{part.code}"] = self.team_part(team, part.code)

        ties, team_ties = self.record.individual_ties, self.record.team_ties
        for code, individuals_too in self.lists():
            if individuals_too:
                keys = {
                    p.number: [self.total(p, code), *(self.step(p, s) for s in ties)] for p in self.people if p.ranked
                }
                team_of = {person.number: person.team for person in self.people}
                for number in sorted(keys, key=lambda n: (slow_rank(n, keys), n)):
                    tie = slow_tie(number, keys, ties)
                    rank = slow_rank(number, keys)
                    result.individuals.append((self.code, code, rank, number, team_of[number], keys[number][0], tie))
            counting = {team: self.counting(team, code) for team in self.ranked_teams()}
            team_keys = {
                team: [self.team_total(team, members, code), *(self.team_step(team, members, s) for s in team_ties)]
                for team, members in counting.items()
            }
            for team in sorted(team_keys, key=lambda t: (slow_rank(t, team_keys), t)):
                numbers = tuple(sorted(person.number for person in counting[team]))
                tie = slow_tie(team, team_keys, team_ties)
                rank = slow_rank(team, team_keys)
                result.teams.append((self.code, code, rank, team, team_keys[team][0], numbers, tie))


def slow_rank(row, keys) -> int:
    """Standard competition ranking: one more than the number of rows that are better."""
    return 1 + sum(1 for other in keys.values() if other > keys[row])


def slow_tie(row, keys, steps) -> str:
    """'empty where no other row of the list has the same total, `shared` where the rank is shared, else the step that
    separated the row from its neighbours of the same total (the later step, where two neighbours fell to different
    ones)'"""
    mine = keys[row]
    same_total = [key for other, key in keys.items() if other != row and key[0] == mine[0]]
    if not same_total:
        return ""
    if mine in same_total:
        return "shared"
    better = [key for key in same_total if key > mine]
    worse = [key for key in same_total if key < mine]
    neighbours = ([min(better)] if better else []) + ([max(worse)] if worse else [])
    separated_at = []
    for neighbour in neighbours:
        position = 0
        while neighbour[position] == mine[position]:
            position += 1
        separated_at.append(position)
    return steps[max(separated_at) - 1]


def unsettled_cards(record: Record) -> list[Card]:
    """'Where `second` is given and differs from `placing`, the card is not settled: it is reported.'"""
    cards = [card for card in record.cards if card.second is not None and card.second != card.placing]
    return sorted(cards, key=lambda card: (card.class_number, card.number))
