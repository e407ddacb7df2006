"""Meats: carcasses and cuts."""

from contest.setup.presets.preset import FORT_WORTH_MEATS, LSU_MEATS, NATIONAL_MEATS, Preset, Said
from scoring.core.record import Division, JudgingClass, Part, Record, Rules
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

BOTH = ("JR", "SR")
REASONS_ON = 1


def _outline() -> Record:
    names = (_("Beef carcasses"), _("Pork carcasses"), _("Beef short loins"), _("Fresh hams"))
    return Record(
        Rules("", minutes_per_class=12, unreadable_card="zero"),
        divisions=(
            Division("JR", _("Junior"), 3, counting_members="each"),
            Division("SR", _("Senior"), 3, counting_members="each"),
        ),
        classes=tuple(
            JudgingClass(number, name, BOTH, reasons=("SR",) if number == REASONS_ON else ())
            for number, name in enumerate(names, start=1)
        ),
        parts=(
            Part("QUEST", _("Questions"), BOTH, 50, "individual"),
            Part("RETAIL", _("Retail cuts"), BOTH, 300, "individual"),
        ),
        individual_ties=("reasons",),
        team_ties=("reasons",),
    )


PRESET = Preset(
    "meats",
    gettext_noop("Meats"),
    _outline,
    (
        Said(gettext_noop("Four to six placing classes, and retail cuts to be named."), FORT_WORTH_MEATS),
        Said(gettext_noop("One set of ten questions worth 50, and one set of reasons."), LSU_MEATS),
        Said(gettext_noop("A blank or wrongly marked card earns 0; 12 minutes a class."), LSU_MEATS),
        Said(gettext_noop("Who counts for a team is chosen anew for every list."), NATIONAL_MEATS),
        Said(gettext_noop("Ties: reasons."), LSU_MEATS),
        Said(gettext_noop("30 retail cuts of 10 points each, three members who count, and which classes there are.")),
    ),
    minutes={REASONS_ON: 15},
    sizes=(3, 4),
)
