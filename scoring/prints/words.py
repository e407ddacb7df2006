"""Words and figures that several documents say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext

from contest.watch.progress import group_order
from scoring.core.explain import list_names, listed
from scoring.core.people import shown_name, whole_name
from scoring.core.placing import ANIMALS
from scoring.core.points import in_thousands
from scoring.core.record import IN_SET, Contestant, JudgingClass
from scoring.core.result import Standing
from scoring.prints.choice import INDIVIDUALS, TEAMS, Choice, WrongChoice
from scoring.prints.material import Material

CAUTIONS = (
    gettext_lazy("Keep the distance that the ring steward sets."),
    gettext_lazy("Come up from the side, where the animal sees you; never from behind."),
    gettext_lazy("Touch no animal unless you are told to."),
    gettext_lazy("Wear closed shoes, and walk, do not run."),
)
WHO_DECIDES = gettext_lazy("The local rules and the ring steward decide.")
HANDLING = {
    "allowed": gettext_lazy("Animals may be handled, as far as the ring steward lets you."),
    "forbidden": gettext_lazy("Animals are not handled."),
}
KINDS_OF_PLACES = {INDIVIDUALS: gettext_lazy("individuals"), TEAMS: gettext_lazy("teams")}


def handled(rule: str) -> str:
    """What a class's rule about touching its animals says, `allowed` or `forbidden`; empty where it says nothing."""
    return str(HANDLING.get(rule, ""))


def ordinal(place: int) -> str:
    """`1st`, `2nd`, `3rd`, `11th`."""
    of_ten = 0 if place % 100 in (11, 12, 13) else place % 10
    words = {
        1: pgettext("a place", "{place}st"),
        2: pgettext("a place", "{place}nd"),
        3: pgettext("a place", "{place}rd"),
    }
    return words.get(of_ten, pgettext("a place", "{place}th")).format(place=place)


def places_of(animals: str) -> dict[str, object]:
    """What the boxes of a card of a class with these animals say: each place, how many, what is written into them."""
    return {
        "places": [ordinal(place) for place in range(1, len(animals) + 1)],
        "boxes": len(animals),
        "labels": list(animals),
        "animals": listed(animals),
    }


def usual_animals(classes: Iterable[JudgingClass]) -> str:
    """The labels that most classes have."""
    labels = Counter(judged.animals for judged in classes)
    return labels.most_common(1)[0][0] if labels else ANIMALS


def contestants(count: int) -> str:
    """`1 contestant`, `1,559 contestants`."""
    return ngettext("{count} contestant", "{count} contestants", count).format(count=in_thousands(count))


def teams(count: int) -> str:
    return ngettext("{count} team", "{count} teams", count).format(count=in_thousands(count))


def class_part(number: int) -> str:
    """A class, at the foot of its pages."""
    return _("Class {number}").format(number=number)


def group_part(letter: str) -> str:
    return _("Group {letter}").format(letter=letter)


def full_name(contestant: Contestant) -> str:
    """A contestant's whole name, whatever the family says: only for papers that the family or its team is given."""
    return whole_name(contestant.first_name, contestant.last_name)


def name_or_number(contestant: Contestant) -> str:
    """A contestant's whole name where it stands alone; the number where there is none that can be read."""
    return _readable(full_name(contestant)) or _("Contestant {number}").format(number=contestant.number)


def open_name(contestant: Contestant) -> str:
    """The name, for a paper or a speech that others see or hear; empty where the family does not want it shown, and
    where nothing of it can be read."""
    return _readable(shown_name(contestant, "name"))


def _readable(name: str) -> str:
    """A name, unless nothing is left of it but the mark for what no font can draw."""
    return name if any(letter.isalnum() for letter in name) else ""


def fit(text: str, most: tuple[int, ...]) -> int:
    """Which of several sizes a text is set in: the first whose number of characters it does not exceed."""
    return next((size for size, characters in enumerate(most) if len(text) <= characters), len(most))


def chosen_lists(material: Material, choice: Choice) -> list[Standing]:
    """The lists that were chosen, in the contest's order. Raises WrongChoice for one that the contest does not have."""
    known = {f"{standing.division}/{standing.code}": standing for standing in material.result.standings}
    sets = {f"{IN_SET}{of.code}" for of in material.record.sets}
    unknown = [name for name in choice.lists if name not in known and name not in sets]
    if unknown:
        words = _("there is no list {name}; this contest has {others}")
        raise WrongChoice(words.format(name=unknown[0], others=", ".join([*sorted(sets), *known]) or _("none")))
    return [standing for standing in known.values() if choice.wants_list(standing)]


def list_title(material: Material, standing: Standing) -> str:
    """A list with its division, such as `Senior – Reasons`."""
    division = material.division_names[standing.division]
    return f"{division} – {list_names(material.record)[standing.code]}"


def list_options(material: Material) -> list[tuple[str, str]]:
    """Every list, as (name, title), and before them all lists of a set of results, where there are several."""
    sets = [(f"{IN_SET}{of.code}", _("All lists of {name}").format(name=of.name)) for of in material.record.sets]
    return sets + [(f"{s.division}/{s.code}", list_title(material, s)) for s in material.result.standings]


def people_of(material: Material) -> dict[int, Contestant]:
    return {contestant.number: contestant for contestant in material.record.contestants}


def by_team(person: Contestant) -> tuple[Any, ...]:
    """The order of teams by name, each with its members by number; individuals come last."""
    return (not person.team, person.team.casefold(), person.number)


def by_number(person: Contestant) -> int:
    return person.number


def by_group(person: Contestant) -> tuple[Any, ...]:
    return (group_order(person.group), person.number)


PEOPLES_ORDERS: dict[str, Callable[[Contestant], Any]] = {"team": by_team, "number": by_number, "group": by_group}
"""In which orders papers of one contestant each may come."""


def stacked(items: list[Any], at_once: int) -> list[list[Any]]:
    """Items dealt on sheets so that the stacks come off the cutter in order.

    Sheets are cut through together, and the stacks then put on each other: the first stack holds the first items, the
    next one those that follow. The last sheets have empty places at their end, as None.
    """
    sheets = -(-len(items) // at_once)
    padded = items + [None] * (sheets * at_once - len(items))
    return [padded[sheet::sheets] for sheet in range(sheets)]


def in_groups(items: list[Any], size: int) -> list[list[Any]]:
    """Items in their order, so many at a time."""
    return [items[start : start + size] for start in range(0, len(items), size)]
