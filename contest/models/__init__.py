"""The contest's tables. The database itself refuses what must never be true; the functions that write keep the rest."""

from contest.models.outline import Category, ClassDivision, Contest, Division, JudgingClass, Part, TieStep
from contest.models.people import Contestant, Team
from contest.models.sheets import Card, Key, Mark
from contest.models.trail import TrailEntry

__all__ = [
    "Card",
    "Category",
    "ClassDivision",
    "Contest",
    "Contestant",
    "Division",
    "JudgingClass",
    "Key",
    "Mark",
    "Part",
    "Team",
    "TieStep",
    "TrailEntry",
]
