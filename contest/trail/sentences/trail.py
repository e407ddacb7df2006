"""The trail itself: what was taken back, fetched and given up."""

from scoring.core.texts import gettext_noop as _

SENTENCES: dict[str, str | tuple[str, str]] = {
    "taken_back": _("taken back: {entry}"),
    "trail_fetched": _("trail fetched"),
    "contest_deleted_for_good": _("contest deleted for good"),
}
