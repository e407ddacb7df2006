"""What is done with whole contests and with the machine: the bin, names, copies."""

from scoring.core.texts import gettext_noop as _

SENTENCES = {
    "book_written": _("contest book written to a file"),
    "contest_binned": _("contest deleted, and kept in the bin"),
    "contest_unbinned": _("contest taken out of the bin"),
    "copy_downloaded": _("copy downloaded"),
    "names_made_anonymous": _("names made anonymous"),
    "practice_deleted": _("practice deleted for good"),
    "practice_made": _("practice made"),
    "practice_opened": _("practice made from a file"),
    "started_from_copy": _("started from a copy"),
}
