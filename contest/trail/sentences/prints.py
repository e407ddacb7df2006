"""Papers that were ordered, looked at and fetched, and what the awards look like."""

from scoring.core.texts import gettext_noop as _

SENTENCES: dict[str, str | tuple[str, str]] = {
    "print_ordered": _("print ordered: {document}"),
    "print_ordered_again": _("print ordered again: {document}"),
    "print_cancelled": _("print cancelled: {document}"),
    "print_looked_at": _("print looked at: {document}"),
    "print_fetched": _("print fetched: {document}"),
    "print_written": _("print written to a file: {document}"),
    "ribbons_of_set": _("names and colours of the places in set of results {named}"),
    "ribbons_set": _("names and colours of the places"),
    "picture_set": _("picture of the award sheets"),
    "picture_taken_away": _("picture of the award sheets taken away"),
}
