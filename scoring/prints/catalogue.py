"""Every document that can be printed, in the order of a contest's day."""

from scoring.prints.document import Document
from scoring.prints.documents import (
    arrival,
    awards,
    cards,
    class_reports,
    covers,
    forms,
    groups,
    joining,
    large_cards,
    lists,
    packets,
    practice,
    receipts,
    running,
    spares,
    timetables,
    wall_keys,
)

DOCUMENTS: dict[str, Document] = {
    document.name: document
    for document in (
        arrival.CHECK_IN,
        arrival.NUMBERS,
        spares.NUMBERS,
        cards.DOCUMENT,
        large_cards.DOCUMENT,
        spares.CARDS,
        covers.DOCUMENT,
        groups.DOCUMENT,
        forms.KEY_FORMS,
        forms.ROOM_SHEETS,
        forms.SCORE_SLIPS,
        timetables.DOORS,
        timetables.HALL,
        practice.DOCUMENT,
        joining.DOCUMENT,
        running.MISSING_CARDS,
        running.DOUBTS,
        lists.STANDINGS,
        receipts.DOCUMENT,
        lists.RESULTS,
        wall_keys.DOCUMENT,
        awards.RIBBONS,
        awards.RIBBON_LABELS,
        awards.AWARD_SHEETS,
        awards.SCRIPT,
        packets.DOCUMENT,
        class_reports.DOCUMENT,
        class_reports.PICTURES,
    )
}
