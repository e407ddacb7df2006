"""Results, keys that are shown, protests, links to take home, and the ceremony."""

from scoring.core.texts import gettext_noop as _
from scoring.core.texts import ngettext_noop

SENTENCES: dict[str, str | tuple[str, str]] = {
    "results_released": _("results released"),
    "results_withdrawn": _("results withdrawn"),
    "correction_announced": _("correction announced, {reason}"),
    "release_made_anonymous": _("book of release {release} made anonymous"),
    "results_fetched": _("results fetched as {ending}"),
    "key_shown": _("key of class {key_of} shown for the critique"),
    "key_shown_all_the_same": _("key of class {key_of} shown for the critique all the same, {reason}"),
    "key_no_longer_shown": _("key of class {key_of} no longer shown"),
    "protests_taken": _("protests are taken until {until}"),
    "protests_closed": _("no more protests are taken; the results are final"),
    "protest_noted": _("protest noted"),
    "protest_decided": _("protest decided"),
    "links_made": ngettext_noop("{count} link to take home made", "{count} links to take home made"),
    "links_withdrawn": ngettext_noop("{count} link to take home withdrawn", "{count} links to take home withdrawn"),
    "team_link_withdrawn": _("link of team {team} withdrawn"),
    "contestant_link_withdrawn": _("link of contestant {contestant} withdrawn"),
    "team_link_made_anew": _("link of team {team} made anew"),
    "contestant_link_made_anew": _("link of contestant {contestant} made anew"),
    "ceremony_begin": _("ceremony: begin"),
    "ceremony_again": _("ceremony: begin again"),
    "ceremony_next": _("ceremony: next"),
    "ceremony_back": _("ceremony: back"),
    "ceremony_show": _("ceremony: show"),
    "ceremony_stage": _("ceremony: stage"),
    "ceremony_end": _("ceremony: end"),
    "awards_queued": _("awards queued"),
    "awards_reordered": _("awards put in another order"),
    "award_places_changed": _("awards: other places of {award}"),
    "award_taken_out": _("award taken out of the queue"),
    "contestant_said": _("how the name of contestant {contestant} is said"),
    "team_said": _("how the name of a team is said"),
}
