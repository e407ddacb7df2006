"""Who is let in, signs in and goes: helpers, superintendents, their duties."""

from scoring.core.texts import gettext_noop as _
from scoring.core.texts import ngettext_noop

SENTENCES: dict[str, str | tuple[str, str]] = {
    "account_made": _("account made"),
    "account_off": _("account switched off"),
    "addresses_chosen": _("addresses chosen"),
    "all_shown_out": _("all out: {duty}"),
    "codes_off": _("signing in asks for no one-time code any more"),
    "codes_on": _("signing in asks for a one-time code"),
    "duty_announcer": _("announcer"),
    "duty_check-in": _("check-in"),
    "duty_committee": _("committee"),
    "duty_keys": _("keys"),
    "duty_official": _("official"),
    "duty_reasons": _("reasons"),
    "duty_room": _("reasons room"),
    "duty_tabulator": _("tabulator"),
    "event_code_renewed": _("join code of {duty} renewed for {event}"),
    "join_code_renewed": _("join code of {duty} renewed"),
    "join_code_refused": _("join code refused"),
    "join_codes_refused": ngettext_noop(
        "join codes refused: {count} more in that minute", "join codes refused: {count} more in that minute"
    ),
    "invitation_used": _("account made by an invitation"),
    "invited": _("invitation made: {role}"),
    "joined": _("joined as {duty}"),
    "left": _("left"),
    "new_password": _("new password"),
    "organisation_made": _("organization made"),
    "recovery_code_used": _("recovery code used"),
    "recovery_codes_made": _("new recovery codes"),
    "role_given": _("what somebody may do changed: {role}"),
    "role_all": _("every contest"),
    "role_owner": _("everything, and who else may"),
    "role_some": _("some contests"),
    "shown_out": _("shown out"),
    "signed_in": _("signed in"),
    "signed_out": _("signed out"),
    "sign_on_added": _("signs in with single sign-on"),
    "sign_on_removed": _("signs in with single sign-on no more"),
    "sign_in_refused": _("sign-in refused"),
    "sign_ins_refused": ngettext_noop(
        "sign-ins refused: {count} more in that minute", "sign-ins refused: {count} more in that minute"
    ),
}
