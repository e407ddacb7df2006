"""What was read, decided and taken back, and who took which stack. What a card or score says stands beside it."""

from scoring.core.texts import gettext_noop as _

SENTENCES = {
    "card_read": _("class {judged}, contestant {contestant}: card read"),
    "card_decided": _("class {judged}, contestant {contestant}: decided"),
    "card_withdrawn": _("class {judged}, contestant {contestant}: reading withdrawn"),
    "card_brought_back": _("class {judged}, contestant {contestant}: reading brought back"),
    "reasons_read": _("reasons of contestant {contestant} on class {judged}: read"),
    "reasons_decided": _("reasons of contestant {contestant} on class {judged}: decided"),
    "reasons_withdrawn": _("reasons of contestant {contestant} on class {judged}: reading withdrawn"),
    "reasons_brought_back": _("reasons of contestant {contestant} on class {judged}: reading brought back"),
    "mark_read": _("{part}, contestant {contestant}: read"),
    "mark_decided": _("{part}, contestant {contestant}: decided"),
    "mark_withdrawn": _("{part}, contestant {contestant}: reading withdrawn"),
    "mark_brought_back": _("{part}, contestant {contestant}: reading brought back"),
    "team_mark_read": _("{part}, {team}: read"),
    "team_mark_decided": _("{part}, {team}: decided"),
    "team_mark_withdrawn": _("{part}, {team}: reading withdrawn"),
    "team_mark_brought_back": _("{part}, {team}: reading brought back"),
    "no_card": _("no card"),
    "no_score": _("no score"),
    "unreadable": _("unreadable"),
    "mixup_waved": _("looks mixed up, and is right: {line}"),
    "stack_taken": _("class {judged}: stack taken"),
    "stack_given_back": _("class {judged}: stack given back"),
    "group_stack_taken": _("class {judged}, group {group}: stack taken"),
    "group_stack_given_back": _("class {judged}, group {group}: stack given back"),
    "official_added": _("reasons official added"),
    "official_removed": _("reasons official removed"),
}
