"""Pages that were scanned, and the cards on them. Pages are known by the first twelve digits of their SHA-256."""

from scoring.core.texts import gettext_noop as _
from scoring.core.texts import ngettext_noop

SENTENCES: dict[str, str | tuple[str, str]] = {
    "scan_rules": _("how cards are read by scanner"),
    "scan_brought": _("pages {pages} brought to be read by scanner"),
    "scan_page_read": ngettext_noop(
        "pages {pages}, page {page}: {count} card found, {waiting} for a person",
        "pages {pages}, page {page}: {count} cards found, {waiting} for a person",
    ),
    "scan_page_skipped": _("pages {pages}, page {page}: could not be read at all"),
    "scan_read": ngettext_noop(
        "pages {pages} read to the end: {count} page", "pages {pages} read to the end: {count} pages"
    ),
    "scan_cancelled": _("pages {pages} cancelled after page {page}"),
    "scan_stopped": _("pages {pages} stopped after page {page}"),
    "scan_card_aside": _("pages {pages}, page {page}, card {place}: put aside"),
    "scan_card_back": _("pages {pages}, page {page}, card {place}: waits for a person again"),
    "scan_pictures_deleted": ngettext_noop(
        "picture of {count} scanned card deleted", "pictures of {count} scanned cards deleted"
    ),
}
