"""Who is entered, with which number and in which group, and who arrived."""

from scoring.core.texts import gettext_noop as _
from scoring.core.texts import ngettext_noop

SENTENCES: dict[str, str | tuple[str, str]] = {
    "contestant_entered": _("contestant {contestant} entered"),
    "contestant_corrected": _("contestant {contestant}: corrected"),
    "contestant_moved": _("contestant {contestant}: moved"),
    "contestant_substituted": _("contestant {contestant}: substituted"),
    "contestant_scratched": _("contestant {contestant}: scratched"),
    "contestant_unscratched": _("contestant {contestant}: no longer scratched"),
    "contestant_accommodated": _("contestant {contestant}: what they need"),
    "contestant_ineligible": _("contestant {contestant}: ineligible"),
    "contestant_eligible": _("contestant {contestant}: eligible again"),
    "contestant_barred": _("contestant {contestant}: may not win an individual award"),
    "contestant_asked": _("contestant {contestant}: not ranked, as they asked"),
    "contestant_ranked": _("contestant {contestant}: ranked again"),
    "contestant_alternate": _("contestant {contestant}: alternate of the team"),
    "contestant_member": _("contestant {contestant}: member of the team instead of its alternate"),
    "contestant_in_sets": _("contestant {contestant}: which sets of results"),
    "put_in_set": ngettext_noop("{count} put into set of results {named}", "{count} put into set of results {named}"),
    "taken_out_of_set": ngettext_noop(
        "{count} taken out of set of results {named}", "{count} taken out of set of results {named}"
    ),
    "contestant_removed": _("contestant {contestant} removed"),
    "contestant_arrived": _("contestant {contestant}: checked in"),
    "contestant_not_arrived": _("contestant {contestant}: check-in taken back"),
    "contestants_arrived": _("contestants {numbers}: checked in together"),
    "contestants_not_arrived": _("contestants {numbers}: check-in taken back"),
    "contestant_in_group": _("contestant {contestant}: moved to group {group}"),
    "contestant_in_no_group": _("contestant {contestant}: no group"),
    "missing_scratched": ngettext_noop("{count} scratched who had not come", "{count} scratched who had not come"),
    "team_renamed": _("team {team} is called {name} now"),
    "team_called_alike": _("team {team} is called {name} now, as in another contest of the day"),
    "teams_merged": _("team {team} merged into {into}"),
    "team_sizes": _("{division}: how many members a team has"),
    "entry_list_loaded": _("entry list loaded: {added} added, {changed} changed"),
    "numbers_drawn": _("numbers drawn"),
    "numbers_by_team": _("numbers given by team"),
    "groups_dealt": ngettext_noop("{count} group dealt", "{count} groups dealt"),
}
