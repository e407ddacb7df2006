"""What is done with whole contests and with the machine: the bin, names, copies."""

from scoring.core.texts import gettext_noop as _

SENTENCES = {
    "book_written": _("contest book written to a file"),
    "contest_binned": _("contest deleted, and kept in the bin"),
    "contest_unbinned": _("contest taken out of the bin"),
    "copy_downloaded": _("copy downloaded"),
    "library_kept": _("practice kept in the library"),
    "library_taken_out": _("practice taken out of the library"),
    "names_made_anonymous": _("names made anonymous"),
    "practice_deleted": _("practice deleted for good"),
    "practice_made": _("practice made"),
    "practice_opened": _("practice made from a file"),
    "season_consent_withdrawn": _("consent of a member of a season withdrawn, and the name taken out"),
    "season_deleted": _("season deleted for good"),
    "season_made": _("season made"),
    "season_member_added": _("member added to a season, without a name"),
    "season_member_consents": _("consent of a member of a season recorded"),
    "season_member_deleted": _("member of a season deleted for good, with all results"),
    "season_source_out": _("contest or practice taken out of a season"),
    "season_source_put": _("contest or practice put into a season"),
    "started_from_copy": _("started from a copy"),
}
