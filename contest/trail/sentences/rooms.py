"""Reasons: rooms, the timetable, and what happens in a room."""

from scoring.core.texts import gettext_noop as _

SENTENCES = {
    "reasons_hours_set": _("hours of the reasons set"),
    "reasons_room_added": _("reasons room {room}: added"),
    "reasons_room_changed": _("reasons room {room}: changed"),
    "reasons_room_removed": _("reasons room {room}: removed"),
    "reasons_classes_dealt": _("reasons classes dealt out to the rooms"),
    "reasons_rooms_hear_all": _("every reasons room hears every class"),
    "reasons_timetable": _("timetable of the reasons: {count} sets, to {end}"),
    "pair_notes_written": _("notes on the pairs of class {judged} written"),
    "set_began": _("reasons of contestant {contestant} on class {judged}, room {room}: began"),
    "set_ended": _("reasons of contestant {contestant} on class {judged}, room {room}: ended"),
    "set_absent": _("reasons of contestant {contestant} on class {judged}, room {room}: absent"),
    "set_again": _("reasons of contestant {contestant} on class {judged}, room {room}: to be heard again"),
    "set_noted": _("reasons of contestant {contestant} on class {judged}, room {room}: noted"),
}
