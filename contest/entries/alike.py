"""Names that may be one person's: of one who was typed wrong, turned round or called by a short name. Plain Python."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from contest.entries.matching import words

SHORT_NAMES = (
    "abigail abby gail, alexander alexandra alex lexi sandy, andrew andy drew, anthony tony, benjamin ben benny, "
    "catherine katherine kathryn cathy kathy kate katie, charles charlie chuck, christopher chris, "
    "christina christine chris tina, daniel danny dan, david dave, deborah deb debbie, dorothy dot dottie, "
    "edward ed eddie ted, elizabeth liz lizzie beth betsy eliza, emily emma em, francis frank, frederick fred, "
    "gabriel gabriella gabe, gregory greg, isabella isabel bella izzy, jacob jake, james jim jimmy jamie, "
    "jennifer jen jenny, jessica jess jessie, john johnny jack jon, jonathan jon, joseph joe joey, joshua josh, "
    "kenneth ken kenny, lawrence larry, madeline maddie, margaret maggie meg peggy, matthew matt, michael mike, "
    "nathaniel nathan nate, nicholas nick, olivia liv, patricia pat patty trish, patrick pat, peter pete, "
    "rebecca becky becca, richard rick dick rich, robert bob bobby rob robbie, ronald ron, samuel samantha sam, "
    "stephen steven steve, susan sue susie, theodore ted theo, thomas tom tommy, timothy tim, victoria vicky tori, "
    "walter walt, william will bill billy liam, zachary zach"
)
"""Groups of first names that are called alike; from memory, of names that are common in English."""

SHORTEST = 3
"""Letters of a first name that another begins with, such as `Jo` of `Joan`, are too few to tell."""

_GROUPS = [set(group.split()) for group in SHORT_NAMES.split(", ")]

Person = tuple[str, str]
"""A first and a last name."""


def may_be_one(one: Person, other: Person) -> bool:
    """Whether two names may be one person's: alike but for one letter, turned round, or with a short first name.

    A letter may be another, too many, missing, or have changed places with the next.
    """
    (first, last), (first_there, last_there) = (tuple(map(_plain, one)), tuple(map(_plain, other)))
    whole, whole_there = f"{first} {last}".split(), f"{first_there} {last_there}".split()
    if not whole or not whole_there:
        return False
    if sorted(whole) == sorted(whole_there) or _one_letter(" ".join(whole), " ".join(whole_there)):
        return True
    return last == last_there != "" and _called_alike(first, first_there)


def pairs(people: Sequence[Person]) -> Iterator[tuple[int, int]]:
    """The places of every two people whose names may be one person's, in order."""
    places: dict[str, list[int]] = defaultdict(list)
    for place, person in enumerate(people):
        for sign in _signs(person):
            places[sign].append(place)
    near = {pair for there in places.values() for pair in combinations(there, 2)}
    yield from sorted(pair for pair in near if may_be_one(people[pair[0]], people[pair[1]]))


def _signs(person: Person) -> set[str]:
    """What two names have in common if they may be one: few others have any of it."""
    first, last = map(_plain, person)
    whole = f"{first} {last}".strip()
    return {" ".join(sorted(whole.split())), f"last {last}", whole, *_without_one(whole)} - {"", "last "}


def _without_one(text: str) -> Iterable[str]:
    return {text[:at] + text[at + 1 :] for at in range(len(text))}


def _one_letter(one: str, other: str) -> bool:
    if abs(len(one) - len(other)) > 1:
        return False
    if len(one) != len(other):
        long, short = (one, other) if len(one) > len(other) else (other, one)
        return short in _without_one(long)
    differs = [at for at, (mine, theirs) in enumerate(zip(one, other, strict=True)) if mine != theirs]
    if len(differs) == 2 and differs[1] == differs[0] + 1:
        first, second = differs
        return (one[first], one[second]) == (other[second], other[first])
    return len(differs) == 1


def _called_alike(first: str, other: str) -> bool:
    if not first or not other:
        return False
    short, long = sorted((first, other), key=len)
    begins = long.startswith(short) and (len(short) >= SHORTEST or len(short) == 1)
    return begins or any({first, other} <= group for group in _GROUPS)


def _plain(name: str) -> str:
    return " ".join(words(name))
