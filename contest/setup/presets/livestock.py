"""Livestock: beef, sheep, swine and goats."""

from contest.setup.presets.preset import (
    ARKANSAS,
    CATA_LIVESTOCK,
    LIVESTOCK_SUMMARY,
    NAJRAE,
    NEBRASKA_7,
    Preset,
    Said,
)
from scoring.core.record import Category, Division, JudgingClass, Part, Record, Rules
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

BOTH = ("JR", "SR")
REASONS_ON = (2, 4, 5, 8)


def _outline() -> Record:
    classes = (
        (_("Market steers"), "BEEF"),
        (_("Breeding heifers"), "BEEF"),
        (_("Market lambs"), "SHEEP"),
        (_("Breeding ewes"), "SHEEP"),
        (_("Market hogs"), "SWINE"),
        (_("Breeding gilts"), "SWINE"),
        (_("Market goats"), "GOATS"),
        (_("Breeding does"), "GOATS"),
    )
    ties = ("reasons", "placing", "part:KEEP")
    return Record(
        Rules("", minutes_per_class=12),
        divisions=(Division("JR", _("Junior"), 3), Division("SR", _("Senior"), 3)),
        categories=(
            Category("BEEF", _("Beef")),
            Category("SHEEP", _("Sheep")),
            Category("SWINE", _("Swine")),
            Category("GOATS", _("Goats")),
        ),
        classes=tuple(
            JudgingClass(number, name, BOTH, category, reasons=("SR",) if number in REASONS_ON else ())
            for number, (name, category) in enumerate(classes, start=1)
        ),
        parts=(
            Part("KEEP", _("Keep or cull, eight ewes"), BOTH, 0, "individual", "SHEEP", animals="12345678", keep=4),
            Part("QUEST", _("Questions"), ("JR",), 50, "individual"),
        ),
        individual_ties=ties,
        team_ties=ties,
    )


PRESET = Preset(
    "livestock",
    gettext_noop("Livestock"),
    _outline,
    (
        Said(gettext_noop("Teams of up to four; the best three count."), ARKANSAS),
        Said(gettext_noop("Beef, goats, sheep and swine have lists of their own, reasons included."), CATA_LIVESTOCK),
        Said(gettext_noop("Four sets of reasons, and 12 minutes a class."), CATA_LIVESTOCK),
        Said(gettext_noop("Juniors answer questions instead of giving reasons."), NAJRAE),
        Said(gettext_noop("Keep/cull: exactly four of eight are kept, or it is worth 0."), NEBRASKA_7),
        Said(gettext_noop("Ties: reasons, then placing, then keep/cull."), LIVESTOCK_SUMMARY),
        Said(gettext_noop("15 minutes where reasons are given, the divisions, and the order of the classes.")),
    ),
    minutes=dict.fromkeys(REASONS_ON, 15),
    sizes=(3, 4),
)
