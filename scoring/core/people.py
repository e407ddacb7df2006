"""How people are called where others can see it: most contestants are minors, and some families say no. And how names
are compared."""

from __future__ import annotations

from scoring.core.record import Contestant, ShowPeopleAs


def shown_name(contestant: Contestant, show_people_as: ShowPeopleAs) -> str:
    """What may stand beside a contestant's number: the name, the initials or nothing.

    Nothing wherever the family does not want the name shown, whatever the contest says.
    """
    if show_people_as == "number" or not contestant.show_name:
        return ""
    names = contestant.first_name, contestant.last_name
    if show_people_as == "initials":
        return whole_name(*(f"{name[0]}." if name else "" for name in names))
    return whole_name(*names)


def whole_name(first: str, last: str) -> str:
    """A name as it is read, whatever the family says: only for those whose business it is."""
    return " ".join(filter(None, (first, last)))


def fold(text: str) -> str:
    """A name as it is compared: however its letters and spaces were typed."""
    return " ".join(text.casefold().split())
