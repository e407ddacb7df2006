"""Who came, was let in and went."""

from scoring.core.texts import gettext_noop as _
from scoring.core.texts import ngettext_noop

SENTENCES: dict[str, str | tuple[str, str]] = {
    "signed_in": _("signed in"),
    "signed_out": _("signed out"),
    "sign_in_refused": _("sign-in refused"),
    "sign_ins_refused": ngettext_noop(
        "sign-ins refused: {count} more in that minute", "sign-ins refused: {count} more in that minute"
    ),
    "join_code_refused": _("join code refused"),
    "join_codes_refused": ngettext_noop(
        "join codes refused: {count} more in that minute", "join codes refused: {count} more in that minute"
    ),
}
