"""Poultry: hens, carcasses, and parts to be named."""

from contest.setup.presets.preset import (
    MISSOURI_POULTRY,
    NC_POULTRY,
    PENN_POULTRY,
    TENNESSEE_POULTRY,
    Preset,
    Said,
)
from scoring.core.record import Category, Division, JudgingClass, Part, Record, Rules
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

BOTH = ("JR", "SR")


def _outline() -> Record:
    classes = ((_("Laying hens"), "PROD"), (_("Laying hens, second class"), "PROD"), (_("Carcasses"), "MARKET"))
    return Record(
        Rules("", unreadable_card="lowest"),
        divisions=(Division("JR", _("Junior"), 3), Division("SR", _("Senior"), 3)),
        categories=(Category("PROD", _("Production")), Category("MARKET", _("Market products"))),
        classes=tuple(
            JudgingClass(number, name, BOTH, category, perfect=100, reasons=("SR",) if number == 1 else ())
            for number, (name, category) in enumerate(classes, start=1)
        ),
        parts=(
            Part("NAMING", _("Parts to be named"), BOTH, 100, "individual", "MARKET"),
            Part("PROCESSED", _("Further-processed items"), BOTH, 100, "individual", "MARKET"),
        ),
        individual_ties=("reasons", "class:1"),
        team_ties=("reasons", "class:1", "left-out"),
    )


PRESET = Preset(
    "poultry",
    gettext_noop("Poultry"),
    _outline,
    (
        Said(gettext_noop("Every class is worth 100; hens are compared in fours."), PENN_POULTRY),
        Said(gettext_noop("Parts are 10 points each; ten further-processed items of 10 points."), PENN_POULTRY),
        Said(
            gettext_noop("A pair costs 2 to 10 points; a card marked twice earns the lowest score."), MISSOURI_POULTRY
        ),
        Said(gettext_noop("Teams of three or four; the best three count."), NC_POULTRY),
        Said(gettext_noop("Juniors are 9 to 13 years old, seniors 14 to 18."), NC_POULTRY),
        Said(
            gettext_noop(
                "Ties: reasons, then a class that the officials name (class 1 here), then a team’s alternate."
            ),
            TENNESSEE_POULTRY,
        ),
        Said(gettext_noop("Ten parts to be named, one set of reasons, and which classes there are.")),
    ),
    sizes=(3, 4),
)
