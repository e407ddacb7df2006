"""Young farmers: rings of six animals under letters, with reasons on all of them."""

from contest.setup.presets.preset import STOCKMAN, Preset, Said
from scoring.core.record import Division, JudgingClass, Record, Rules
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

ALL = ("U16", "U21", "U26")


def _outline() -> Record:
    names = (_("Beef cattle"), _("Dairy cattle"), _("Sheep"), _("Pigs"))
    ages = (_("16 and under"), _("21 and under"), _("26 and under"))
    return Record(
        Rules("", minutes_per_class=15),
        divisions=tuple(Division(code, name, 0) for code, name in zip(ALL, ages, strict=True)),
        classes=tuple(
            JudgingClass(number, name, ALL, reasons=ALL, animals="ABCXYZ") for number, name in enumerate(names, start=1)
        ),
        individual_ties=("reasons",),
        team_ties=("reasons",),
    )


PRESET = Preset(
    "young-farmers",
    gettext_noop("Young farmers"),
    _outline,
    (
        Said(gettext_noop("Four rings, with reasons on all four; animals have letters, not numbers."), STOCKMAN),
        Said(gettext_noop("16, 21, and 26 and under, on 1 September."), STOCKMAN),
        Said(gettext_noop("Six animals a ring (A, B, C, X, Y, Z); the source has four (A, B, X, Y).")),
        Said(gettext_noop("Every member of a team counts, 15 minutes a ring, and ties by reasons.")),
    ),
)
