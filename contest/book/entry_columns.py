"""What a column of an entry list can be: the name that forms and the trail know it by, and what people call it."""

from __future__ import annotations

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

FIELDS = {
    NUMBER: "Number",
    FIRST: "First name",
    LAST: "Last name",
    NAME: "Whole name",
    TEAM: "Team",
    DIVISION: "Division",
    GROUP: "Group",
    ROLE: "Member or individual",
    SHOW_NAME: "Name may be shown",
    PRESENT: "Present",
}
"""What a column can be, and how people call it."""
