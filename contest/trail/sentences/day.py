"""Who came, was let in and went."""

from scoring.core.texts import gettext_noop as _

SENTENCES = {
    "signed_in": _("signed in"),
    "signed_out": _("signed out"),
}
