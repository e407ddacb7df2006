"""Dairy cattle: heifers and cows."""

from contest.setup.presets.preset import GEORGIA_DAIRY, NACTA_DAIRY, NEBRASKA_DAIRY, TENNESSEE_DAIRY, Preset, Said
from scoring.core.record import Category, Division, JudgingClass, Record, Rules
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

ALL = ("JR", "IN", "SR")
REASONS_BY = {2: ("IN", "SR"), 4: ("SR",), 6: ("SR",)}


def _outline() -> Record:
    classes = (
        (_("Holstein heifers"), "HEIF"),
        (_("Holstein cows"), "COWS"),
        (_("Jersey heifers"), "HEIF"),
        (_("Jersey cows"), "COWS"),
        (_("Brown Swiss heifers"), "HEIF"),
        (_("Brown Swiss cows"), "COWS"),
    )
    names = zip(ALL, (_("Junior"), _("Intermediate"), _("Senior")), strict=True)
    return Record(
        Rules("", minutes_per_class=15),
        divisions=tuple(Division(code, name, 3) for code, name in names),
        categories=(Category("HEIF", _("Heifers")), Category("COWS", _("Cows"))),
        classes=tuple(
            JudgingClass(number, name, ALL, category, reasons=REASONS_BY.get(number, ()))
            for number, (name, category) in enumerate(classes, start=1)
        ),
        individual_ties=("reasons", "class:2"),
        team_ties=("reasons", "class:2", "left-out"),
    )


PRESET = Preset(
    "dairy",
    gettext_noop("Dairy"),
    _outline,
    (
        Said(gettext_noop("Six classes; three sets of reasons by seniors, one by intermediates."), NEBRASKA_DAIRY),
        Said(gettext_noop("15 minutes a class."), GEORGIA_DAIRY),
        Said(gettext_noop("Teams of three or four; the best three count."), NACTA_DAIRY),
        Said(
            gettext_noop(
                "Ties: reasons, then a class that the officials name (class 2 here), then a team’s alternate."
            ),
            TENNESSEE_DAIRY,
        ),
        Said(gettext_noop("The breeds, and lists of heifers and of cows.")),
    ),
    sizes=(3, 4),
)
