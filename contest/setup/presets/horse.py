"""Light horses: halter and performance."""

from contest.setup.presets.preset import CATA_HORSE, NEBRASKA_HORSE, STATE_HORSE, Preset, Said
from scoring.core.record import Category, Division, JudgingClass, Record, Rules
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

REASONS_ON = (1, 2, 4, 5)


def _outline() -> Record:
    classes = (
        (_("Aged geldings"), "HAL"),
        (_("Aged mares"), "HAL"),
        (_("Yearling fillies"), "HAL"),
        (_("Western pleasure"), "PERF"),
        (_("Hunter under saddle"), "PERF"),
        (_("Western riding"), "PERF"),
    )
    return Record(
        Rules("", minutes_per_class=12),
        divisions=(Division("JR", _("Junior"), 3), Division("SR", _("Senior"), 3)),
        categories=(Category("HAL", _("Halter")), Category("PERF", _("Performance"))),
        classes=tuple(
            JudgingClass(number, name, ("JR", "SR"), category, reasons=("SR",) if number in REASONS_ON else ())
            for number, (name, category) in enumerate(classes, start=1)
        ),
        individual_ties=("reasons",),
        team_ties=("reasons",),
    )


PRESET = Preset(
    "horse",
    gettext_noop("Horse"),
    _outline,
    (
        Said(gettext_noop("Six placing classes; reasons on two of halter and two of performance."), CATA_HORSE),
        Said(gettext_noop("Halter and performance have lists of their own, reasons included."), CATA_HORSE),
        Said(gettext_noop("The three members who count overall count in every list."), CATA_HORSE),
        Said(gettext_noop("Teams of three or four; the best three count."), NEBRASKA_HORSE),
        Said(gettext_noop("Juniors are 9 to 13 years old, seniors 14 to 18."), STATE_HORSE),
        Said(gettext_noop("Ties: the total of all sets of reasons."), CATA_HORSE),
        Said(gettext_noop("Seniors alone give reasons, and which classes there are.")),
    ),
    sizes=(3, 4),
)
