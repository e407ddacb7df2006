"""Committees: who sits on them, and what each official handed in."""

from scoring.core.texts import gettext_noop as _

SENTENCES: dict[str, str | tuple[str, str]] = {
    "committee_official_added": _("official of the committee added"),
    "committee_official_changed": _("official of the committee: classes and chair"),
    "committee_official_removed": _("official of the committee removed"),
    "committee_handed_in": _("class {judged} placed by an official of its committee"),
    "committee_handed_in_anew": _("class {judged} placed anew by an official of its committee"),
}
