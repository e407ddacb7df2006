"""How people are called where others can see it: most contestants are minors, and some families say no. And how names
are compared."""

from __future__ import annotations

from scoring.core.record import Contestant, ShowPeopleAs


def shown_name(contestant: Contestant, show_people_as: ShowPeopleAs) -> str:
    """What may stand beside a contestant's number: the name, the initials or nothing.

    Nothing wherever the family does not want the name shown, whatever the contest says.
    """
    names = [name for name in (contestant.first_name, contestant.last_name) if name]
    if show_people_as == "number" or not contestant.show_name:
        return ""
    if show_people_as == "initials":
        return " ".join(f"{name[0]}." for name in names)
    return " ".join(names)


def fold(text: str) -> str:
    """A name as it is compared: however its letters and spaces were typed."""
    return " ".join(text.casefold().split())
