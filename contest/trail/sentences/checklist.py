"""Lines of the checklist before a release, as they are accepted, and what stands against showing a key."""

from scoring.core.placing import LIMITS
from scoring.core.texts import gettext_noop as _
from scoring.core.texts import ngettext_noop

SENTENCES: dict[str, str | tuple[str, str]] = {
    **LIMITS,
    "listed": _("{first_ones} and {last}"),
    "and_more": _("{named} and {count} more"),
    "list_overall": _("Overall"),
    "list_placing": _("Placing"),
    "list_reasons": _("Reasons"),
    "cut_top": _("top"),
    "cut_middle": _("middle"),
    "cut_bottom": _("bottom"),
    "committee_apart": _("Class {judged}: the officials of its committee do not agree reasonably"),
    "in_no_set": ngettext_noop(
        "{whose} is in no set of results, and so in no list", "{whose} are in no set of results, and so in no list"
    ),
    "cards_read_once": ngettext_noop(
        "Class {judged}: {count} card read only once: {whose}",
        "Class {judged}: {count} cards read only once: {whose}",
    ),
    "released_all_the_same": _("{line}. Released all the same: {reason}"),
    "cards_missing": ngettext_noop(
        "Class {judged}: {count} card missing: {whose}",
        "Class {judged}: {count} cards missing: {whose}",
    ),
    "scanned_cards_wait": ngettext_noop(
        "{count} scanned card waits for a person",
        "{count} scanned cards wait for a person",
    ),
    "scan_not_ended": ngettext_noop(
        "{count} file of scanned pages was not read to its end",
        "{count} files of scanned pages were not read to their end",
    ),
    "sample_unread": ngettext_noop(
        "Class {judged}: {count} card of the sample of what the scanner read alone is still to be read: {whose}",
        "Class {judged}: {count} cards of the sample of what the scanner read alone are still to be read: {whose}",
    ),
    "sample_failed": ngettext_noop(
        "Class {judged}: the scanner was wrong, and {count} card that it read alone is still to be read: {whose}",
        "Class {judged}: the scanner was wrong, and {count} cards that it read alone are still to be read: {whose}",
    ),
    "sample_unread_of_part": ngettext_noop(
        "{part}: {count} of the sample of what the scanner read alone is still to be read: {whose}",
        "{part}: {count} of the sample of what the scanner read alone are still to be read: {whose}",
    ),
    "sample_failed_of_part": ngettext_noop(
        "{part}: the scanner was wrong, and {count} that it read alone is still to be read: {whose}",
        "{part}: the scanner was wrong, and {count} that it read alone are still to be read: {whose}",
    ),
    "sample_read": _(
        "{checked} of {cards} cards that the scanner read alone were checked: with {confidence} % certainty at most"
        " {most} of the others are wrong"
    ),
    "cards_in_doubt": ngettext_noop(
        "Class {judged}: {count} card in doubt: {whose}",
        "Class {judged}: {count} cards in doubt: {whose}",
    ),
    "cards_of_nobody": ngettext_noop(
        "Class {judged}: {count} reading of a number that nobody has: {whose}",
        "Class {judged}: {count} readings of numbers that nobody has: {whose}",
    ),
    "cards_of_another_class": ngettext_noop(
        "Class {judged}: {count} card of somebody who does not judge the class: {whose}",
        "Class {judged}: {count} cards of contestants who do not judge the class: {whose}",
    ),
    "cards_of_absent": ngettext_noop(
        "Class {judged}: {count} card of somebody who is marked absent: {whose}",
        "Class {judged}: {count} cards of contestants who are marked absent: {whose}",
    ),
    "key_missing": _("Class {judged} has no key and counts for nobody"),
    "key_typed_once": _("Class {judged}: its key was typed only once"),
    "key_disputed": _("Class {judged}: two entries of its key differ"),
    "part_key_missing": _("{part} has no key and counts for nobody"),
    "part_key_typed_once": _("{part}: its key was typed only once, and counts once somebody else has typed it too"),
    "part_key_disputed": _("{part}: two entries of its key differ"),
    "key_beyond_limit": _("Class {judged}: {limit}"),
    "reasons_standardised": _(
        "Reasons standardised across officials, as the superintendent set: every list counts them so. "
        "Does the rulebook order it?"
    ),
    "reasons_left_as_given": ngettext_noop(
        "Reasons are to be standardised, but {count} official heard fewer than {least} sets: theirs count as given",
        "Reasons are to be standardised, but {count} officials heard fewer than {least} sets: theirs count as given",
    ),
    "reasons_missing": ngettext_noop(
        "Class {judged}: {count} set of reasons without a score: {whose}",
        "Class {judged}: {count} sets of reasons without a score: {whose}",
    ),
    "officials_missing": _("Class {judged}: scored by fewer officials than others: {whose}"),
    "reasons_in_doubt": _("Class {judged}: reasons in doubt: {whose}"),
    "reasons_read_once": _("Class {judged}: reasons read only once: {whose}"),
    "marks_missing": ngettext_noop(
        "{part}, {division}: {count} mark missing: {whose}",
        "{part}, {division}: {count} marks missing: {whose}",
    ),
    "marks_all_missing": _("{part}, {division}: no mark at all: {whose}"),
    "marks_in_doubt": _("{part}: marks in doubt: {whose}"),
    "marks_read_once": _("{part}: marks read only once: {whose}"),
    "choices_astray": ngettext_noop(
        "{count} card or answer sheet of a number that nobody has, or that does no such part: {whose}",
        "{count} cards or answer sheets of numbers that nobody has, or that do no such part: {whose}",
    ),
    "absent_scored": ngettext_noop(
        "Reasons or marks of {count} contestant marked absent: {whose}",
        "Reasons or marks of {count} contestants marked absent: {whose}",
    ),
    "rank_shared": _("{division}, {list}: {whose} share rank {rank}"),
    "rank_shared_by_teams": _("{division}, {list}: teams {whose} share rank {rank}"),
    "mixup_reversed": _(
        "Class {judged}: its {count} cards fit the key {better} better, {mended} against {now} points. Was {official} "
        "typed from last to first?"
    ),
    "mixup_ends": _(
        "Class {judged}: its {count} cards fit the key {better} better, {mended} against {now} points. Did the first "
        "and the last of {official} change places?"
    ),
    "mixup_neighbours": _(
        "Class {judged}: its {count} cards fit the key {better} better, {mended} against {now} points. Did neighbours "
        "in {official} change places?"
    ),
    "mixup_classes": _(
        "Classes {judged} and {other}: the cards of each fit the other’s key better, together {mended} against {now} "
        "points. Was each key typed for the other class?"
    ),
    "mixup_stacks": _(
        "Group {group}: the {count} cards read as class {judged} and the {other_count} read as class {other} fit "
        "better the other way round, together {mended} against {now} points. Were the stacks exchanged?"
    ),
    "mixup_elsewhere": _(
        "Class {judged}, group {group}: these {count} cards fit class {other} better, {mended} against {now} points. "
        "Is it the stack of class {other}?"
    ),
    "mixup_turned": _(
        "Class {judged}, group {group}: the {count} cards fit better from last to first, {mended} against {now} "
        "points. Did the stack lie upside down?"
    ),
    "mixup_some": _(
        "Class {judged}, group {group}: {count} cards fit better from last to first, {mended} against {now} points. "
        "Did they lie upside down? {whose}"
    ),
    # No longer told; trails hold these two, and the three of keys below.
    "cards_reversed": ngettext_noop(
        "Class {judged}: the card of {whose} is the official placing reversed",
        "Class {judged}: the cards of {whose} are the official placing reversed",
    ),
    "cards_far_out": ngettext_noop(
        "Class {judged}: the card of {whose} loses nearly everything, unlike their others",
        "Class {judged}: the cards of {whose} lose nearly everything, unlike their others",
    ),
    "reasons_odd": _("Class {judged}: reasons scored far from what the same official gave others: {whose}"),
    "cards_and_never_came": ngettext_noop(
        "{count} contestant has cards or scores and was never checked in: {whose}",
        "{count} contestants have cards or scores and were never checked in: {whose}",
    ),
    "without_any_card": _("Present, but without any card: {whose}"),
    "whole_team_alike": ngettext_noop(
        "{division}, {team}: the same card from every member in all of {count} class",
        "{division}, {team}: the same card from every member in all of {count} classes",
    ),
    "members_alike": ngettext_noop(
        "{division}, {team}: the same card from {members} in all of {count} class",
        "{division}, {team}: the same card from {members} in all of {count} classes",
    ),
    "key_no_better_than_blind": _(
        "Class {judged}: its {cards} cards lose {lost} on average, placing blindly loses {blind}: is its key right?"
    ),
    "official_placing_not_given": ngettext_noop(
        "Class {judged}: none of its {count} card has the official placing: is its key right?",
        "Class {judged}: none of its {count} cards has the official placing: is its key right?",
    ),
    "official_placing_rarely_given": ngettext_noop(
        "Class {judged}: {count} of its {cards} cards has the official placing: is its key right?",
        "Class {judged}: {count} of its {cards} cards have the official placing: is its key right?",
    ),
    "cuts_of_nothing": ngettext_noop("Class {judged}: the {cuts} cut is 0", "Class {judged}: the {cuts} cuts are 0"),
    "sets_not_heard": ngettext_noop(
        "{count} set of reasons not heard yet: {whose}", "{count} sets of reasons not heard yet: {whose}"
    ),
    "cards_not_in": ngettext_noop("{count} card not in yet: {whose}", "{count} cards not in yet: {whose}"),
    "cards_doubtful": ngettext_noop("{count} card in doubt: {whose}", "{count} cards in doubt: {whose}"),
    "key_not_confirmed": _("the key is not confirmed: typed once"),
    "key_not_agreed": _("the key is not confirmed: two entries differ"),
}
