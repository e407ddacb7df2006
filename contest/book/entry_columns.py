"""What a column of an entry list can be: the name that forms and the trail know it by, and what people call it."""

from __future__ import annotations

from scoring.core.texts import gettext, pgettext
from scoring.core.texts import gettext_noop as _

NUMBER = "number"
NAME = "name"
FIRST = "first_name"
LAST = "last_name"
TEAM = "team"
DIVISION = "division"
GROUP = "group"
ROLE = "role"
SHOW_NAME = "show_name"
PRESENT = "present"
CAME_FROM = "came_from"
SETS = "result_sets"

FIELDS = {
    NUMBER: _("Number"),
    FIRST: _("First name"),
    LAST: _("Last name"),
    NAME: _("Whole name"),
    TEAM: _("Team"),
    DIVISION: _("Division"),
    GROUP: _("Group"),
    ROLE: _("Member or individual"),
    SHOW_NAME: _("Name may be shown"),
    PRESENT: _("Present"),
    CAME_FROM: _("Came from"),
    SETS: _("Sets of results"),
}
"""What a column can be, and what it is called in English: as a heading of a list that is recognised."""


def called(field: str) -> str:
    """What people call a column; a field that is none of them as it is."""
    return gettext(FIELDS[field]) if field in FIELDS else field


def shown(value: str | int | bool) -> str:
    """What people read of a column's value."""
    if isinstance(value, bool):
        return gettext("yes") if value else pgettext("not yes", "no")
    return str(value) or pgettext("nothing typed", "none")
