"""Changes to one entry. Each is one function: it checks, writes the rows, the trail and the revision."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from django.db.models import Exists, OuterRef, ProtectedError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.entries.entered import has_sheets, read_digest, readings_out_of_place, values_of
from contest.entries.late import asks_why, is_late, lateness
from contest.entries.plan import Values, same_person
from contest.models import (
    Accommodation,
    Card,
    Contest,
    Contestant,
    Division,
    JudgingClass,
    Mark,
    MarkReading,
    Reading,
    SetMember,
    Team,
)
from contest.slips.cards import CardSlip
from contest.slips.reading import set_aside, settle_slip
from contest.trail import Personal, record_change, sentence
from contest.trail.subjects import contestants
from scoring.core.people import fold
from scoring.core.sets import members_of


class NotThis(NotPossible):
    """Raised for one thing that cannot be as it was typed; `field` is its name."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field = field


class EntryChanged(Exception):
    """Raised where an entry is no longer what whoever changes it saw; `theirs` is what it says now."""

    def __init__(self, theirs: Values) -> None:
        super().__init__(_("somebody else has changed this entry"))
        self.theirs = theirs


@changes
def add_contestant(contest: Contest, values: Values, by: str, nameless: str = "", late_note: str = "") -> Contestant:
    """Enter somebody. Cards that were read under their number before it was anybody's are theirs from now on.
    `nameless` says why somebody has no name, `late_note` why they are late.

    Raises NotThis for a number that somebody has, and for a note that the rules ask of late entries; NotPossible where
    they refuse those.
    """
    take_turn(contest.pk)
    rule = lateness(contest.pk)
    if asks_why(rule) and not late_note:
        raise NotThis("late_note", _("say why they are entered late"))
    _check_free(contest, values.number)
    division = _division(contest, values.division)
    contestant = Contestant.objects.create(
        contest=contest,
        number=values.number,
        division=division,
        team=team_called(division, values.team),
        first_name=values.first_name,
        last_name=values.last_name,
        group=values.group,
        show_name=values.show_name,
        present=values.present,
        came_from=values.came_from,
        late=is_late(rule),
        late_note=late_note if is_late(rule) else "",
    )
    for member in members_of(values.result_sets, sets := {row.code: row for row in contest.sets.all()}):
        SetMember.objects.create(result_set=sets[member.set], contestant=contestant, team=member.team)
    claim_strays(contestant)
    what = sentence("contestant_entered", contestant=values.number)
    after = _said(values_of(contestant)) | ({"reason": Personal(nameless)} if nameless else {})
    if contestant.late:
        after |= {"late": Personal(contestant.late_note) if late_note else True}
    record_change(contest, by, what, after=after)
    return contestant


@changes
def correct_entry(contestant: Contestant, values: Values, by: str, shown: Values | None = None) -> Contestant:
    """Correct number, names, group, or whether the name may be shown; division and team are `move_contestant`'s.

    `shown` is the entry as its page showed it to whoever corrects it. Raises EntryChanged where it says something else
    now; NotThis for a number that somebody has, for another number once something was read, and for the name of
    another person then.
    """
    contestant = fresh(contestant)
    old = values_of(contestant)
    if shown and shown != old:
        raise EntryChanged(old)
    read = has_sheets(contestant)
    if values.number != old.number:
        if read:
            told = _("something was read under {number}, so the number stays")
            raise NotThis("number", told.format(number=old.number))
        _check_free(contestant.contest, values.number)
    if read and not same_person(values, old):
        told = _(
            "that is another person, and something of {number}'s was read; "
            "scratch them, and enter the other person under another number"
        )
        raise NotThis("last_name", told.format(number=old.number))
    contestant.number = values.number
    contestant.first_name, contestant.last_name = values.first_name, values.last_name
    contestant.group, contestant.show_name, contestant.came_from = values.group, values.show_name, values.came_from
    fields = ["number", "first_name", "last_name", "group", "show_name", "came_from"]
    return _save(contestant, by, "contestant_corrected", old, fields)


MOVED = gettext_noop("moved to another division")
"""Why readings are set aside, where whoever moves somebody gives no other reason."""


@changes
def move_contestant(
    contestant: Contestant,
    division: Division,
    team: str,
    by: str,
    shown: Values | None = None,
    seen: str = "",
    why: str = "",
) -> int:
    """Put a contestant in another team or division; an empty `team` makes them an individual. What was read and would
    not belong in the new division is set aside for the reason `why`; return how many readings those are.

    `seen` is the digest of what was read as whoever moves them was told. Raises NotThis where something is to be set
    aside that they were not told of, and EntryChanged as `correct_entry` does.
    """
    contestant = fresh(contestant)
    old = values_of(contestant)
    if shown and shown != old:
        raise EntryChanged(old)
    aside = readings_out_of_place(contestant, division) if division.pk != contestant.division_id else []
    if aside and read_digest(contestant) != seen:
        told = _("something of {number}'s was read meanwhile; look again at what would be set aside, then move them")
        raise NotThis("division", told.format(number=old.number))
    for reading in aside:  # before the move, so that what they came to goes with them
        set_aside(reading, by, why.strip() or MOVED)
    contestant.division, contestant.team = division, team_called(division, team)
    contestant.alternate = contestant.alternate and contestant.team is not None
    contestant.save(update_fields=["division", "team", "alternate"])
    settle_cards(contestant)
    drop_empty_teams(contestant.contest)
    _write_down(contestant, by, "contestant_moved", old)
    return len(aside)


@changes
def substitute(
    contestant: Contestant,
    first_name: str,
    last_name: str,
    by: str,
    show_name: bool = True,
    shown: Values | None = None,
) -> Contestant:
    """Give the place and the number to another person, who has not arrived yet.

    Raises NotPossible once anything of the first person's was read, and EntryChanged as `correct_entry` does.
    """
    contestant = fresh(contestant)
    old = values_of(contestant)
    if shown and shown != old:
        raise EntryChanged(old)
    if has_sheets(contestant):
        told = _(
            "something of {number}'s was read already; scratch them, and enter the other person under another number"
        )
        raise NotPossible(told.format(number=old.number))
    contestant.first_name, contestant.last_name, contestant.show_name = first_name, last_name, show_name
    contestant.checked_in_at, contestant.present = None, True
    contestant.ineligible, contestant.ineligible_reason = False, ""
    contestant.unranked, contestant.unranked_reason = "", ""  # another person may win
    Accommodation.objects.filter(contestant=contestant).delete()  # and needs something else
    fields = ["first_name", "last_name", "show_name", "checked_in_at", "present", "ineligible", "ineligible_reason"]
    fields += ["unranked", "unranked_reason"]
    return _save(contestant, by, "contestant_substituted", old, fields)


@changes
def scratch(contestant: Contestant, by: str) -> Contestant:
    """Mark a contestant as not present; what was read of theirs stays, as doubts."""
    return _set_present(contestant, False, by)


@changes
def unscratch(contestant: Contestant, by: str) -> Contestant:
    """Mark a scratched contestant as present again."""
    return _set_present(contestant, True, by)


@changes
def make_ineligible(contestant: Contestant, reason: str, by: str) -> Contestant:
    """Let a contestant's scores count for nobody, for a reason that the superintendent alone sees. They are kept."""
    if not reason.strip():
        raise NotThis("reason", _("say why they are ineligible"))
    return _set_eligible(contestant, reason.strip(), by)


@changes
def make_eligible(contestant: Contestant, by: str) -> Contestant:
    """Let an ineligible contestant's scores count again."""
    return _set_eligible(contestant, "", by)


@changes
def set_unranked(contestant: Contestant, unranked: str, reason: str, by: str) -> Contestant:
    """Leave a contestant out of every list of individuals, and so of individual awards, or let them be ranked again
    (an empty `unranked`). Their scores are kept and count for their team. Whoever is barred is so for a reason, which
    the superintendent alone sees."""
    contestant = fresh(contestant)
    if unranked == Contestant.Unranked.BARRED and not reason.strip():
        raise NotThis("reason", _("say why they may not win, such as: champion last year"))
    before = {"unranked": contestant.unranked, "reason": contestant.unranked_reason}
    after = {"unranked": unranked, "reason": reason.strip() if unranked else ""}
    if before == after:
        raise NotPossible(_("{number} is ranked so already").format(number=contestant.number))
    contestant.unranked, contestant.unranked_reason = after["unranked"], after["reason"]
    contestant.save(update_fields=["unranked", "unranked_reason"])
    what = sentence(f"contestant_{unranked or 'ranked'}", contestant=contestant.number)
    record_change(contestant.contest, by, what, before=before, after=after)
    return contestant


@changes
def set_alternate(contestant: Contestant, alternate: bool, by: str) -> Contestant:
    """Make a member of a team its alternate, who does not count for it, or the other way round.

    Raises NotPossible without a team, and once anything of theirs was read: nobody is put in or out by their scores.
    """
    contestant = fresh(contestant)
    if contestant.team is None:
        raise NotPossible(_("{number} is in no team").format(number=contestant.number))
    if contestant.alternate == alternate:
        told = _("{number} is an alternate already") if alternate else _("{number} is a member already")
        raise NotPossible(told.format(number=contestant.number))
    if has_sheets(contestant):
        told = _("something of {number}'s was read already, so nobody is put into a team or out of it any more")
        raise NotPossible(told.format(number=contestant.number))
    contestant.alternate = alternate
    contestant.save(update_fields=["alternate"])
    what = sentence("contestant_alternate" if alternate else "contestant_member", contestant=contestant.number)
    record_change(contestant.contest, by, what, before={"alternate": not alternate}, after={"alternate": alternate})
    return contestant


@changes
def remove_contestant(contestant: Contestant, by: str) -> None:
    """Take an entry off the list. Raises NotPossible once anything of theirs was read: scratch them instead."""
    contestant = fresh(contestant)
    old, contest = values_of(contestant), contestant.contest
    if has_sheets(contestant):
        told = _("something of {number}'s was read, so the entry stays; scratch them instead")
        raise NotPossible(told.format(number=old.number))
    try:
        contestant.delete()
    except ProtectedError:
        told = _("{number} is in use elsewhere, so the entry stays; scratch them instead")
        raise NotPossible(told.format(number=old.number)) from None
    drop_empty_teams(contest)
    record_change(contest, by, sentence("contestant_removed", contestant=old.number), before=_said(old))


def fresh(contestant: Contestant) -> Contestant:
    """The contestant as the database has them now, with the contest to ourselves until the transaction ends."""
    take_turn(contestant.contest_id)
    try:
        return Contestant.objects.select_related("contest", "division", "team").get(pk=contestant.pk)
    except Contestant.DoesNotExist:
        raise NotPossible(_("somebody has removed this entry")) from None


def team_called(division: Division, name: str) -> Team | None:
    """The division's team of that name, however it is typed, made if there is none; None for no name."""
    if not name:
        return None
    teams = {fold(team.name): team for team in division.teams.all()}
    exact = division.teams.filter(name=name).first()
    return exact or teams.get(fold(name)) or Team.objects.create(division=division, name=name)


def drop_empty_teams(contest: Contest) -> None:
    """Teams are known by their members: one without any, and without marks of its own, is gone."""
    marked = [rows.filter(team__isnull=False).values("team") for rows in (Mark.objects, MarkReading.objects)]
    empty = Team.objects.filter(division__contest=contest, members__isnull=True)
    empty.exclude(pk__in=marked[0]).exclude(pk__in=marked[1]).delete()


def claim_strays(contestant: Contestant) -> int:
    """Give a contestant the readings of cards made under their number while it was nobody's; how many they were."""
    strays = Reading.objects.filter(
        judging_class__contest=contestant.contest_id,
        number=contestant.number,
        contestant__isnull=True,
        withdrawn_at__isnull=True,
    )
    claimed = strays.update(contestant=contestant)
    if claimed:
        settle_cards(contestant)
    return claimed


def settle_cards(contestant: Contestant) -> None:
    """Bring every card of theirs in step with its readings: another division judges other classes."""
    for judged in JudgingClass.objects.filter(readings__contestant=contestant).select_related("contest").distinct():
        settle_slip(CardSlip(judged, contestant.number, contestant))


def settle_strays(contest: Contest, moved: Sequence[int]) -> None:
    """Make cards of the readings that were stray until these contestants moved to a division that judges their classes.

    The other cards of theirs stay as they are: nobody is moved to a division that does not judge what was read.
    """
    card = Card.objects.filter(judging_class=OuterRef("judging_class"), contestant=OuterRef("contestant"))
    strays = Reading.objects.filter(judging_class__contest=contest, contestant__in=moved, withdrawn_at__isnull=True)
    for stray in strays.exclude(Exists(card)).select_related("judging_class__contest", "contestant"):
        settle_slip(CardSlip.of_row(stray))


def _set_present(contestant: Contestant, present: bool, by: str) -> Contestant:
    contestant = fresh(contestant)
    old = values_of(contestant)
    if old.present == present:
        told = _("{number} is present already") if present else _("{number} is scratched already")
        raise NotPossible(told.format(number=old.number))
    contestant.present = present
    return _save(contestant, by, "contestant_unscratched" if present else "contestant_scratched", old, ["present"])


def _set_eligible(contestant: Contestant, reason: str, by: str) -> Contestant:
    contestant = fresh(contestant)
    if contestant.ineligible_reason == reason:
        told = _("{number} is ineligible already") if reason else _("{number} is eligible again already")
        raise NotPossible(told.format(number=contestant.number))
    before, after = _eligibility(contestant), {"ineligible": bool(reason), "reason": reason}
    contestant.ineligible, contestant.ineligible_reason = bool(reason), reason
    contestant.save(update_fields=["ineligible", "ineligible_reason"])
    code = "contestant_ineligible" if reason else "contestant_eligible"
    what = sentence(code, contestant=contestant.number)
    record_change(contestant.contest, by, what, before=before, after=after)
    return contestant


def _eligibility(contestant: Contestant) -> dict[str, Any]:
    return {"ineligible": contestant.ineligible, "reason": contestant.ineligible_reason}


def _save(contestant: Contestant, by: str, code: str, old: Values, fields: list[str]) -> Contestant:
    contestant.save(update_fields=fields)
    new = values_of(contestant)
    if "number" in fields and new.number != old.number:
        claim_strays(contestant)
    _write_down(contestant, by, code, old)
    return contestant


def _write_down(contestant: Contestant, by: str, code: str, old: Values) -> None:
    new = values_of(contestant)
    what = sentence(code, contestant=old.number)
    about = contestants([new.number])
    record_change(contestant.contest, by, what, before=_shown(old, new), after=_shown(new, old), about=about)


def _shown(values: Values, other: Values) -> dict[str, Any]:
    """What the trail keeps of a change: the fields that differ."""
    theirs = asdict(other)
    return {name: value for name, value in asdict(values).items() if value != theirs[name]}


def _said(values: Values) -> dict[str, Any]:
    """What the trail keeps of an entry; of sets of results only where there are any."""
    return {name: value for name, value in asdict(values).items() if name != "result_sets" or value}


def _check_free(contest: Contest, number: int) -> None:
    if contest.contestants.filter(number=number).exists():
        raise NotThis("number", _("number {number} is taken").format(number=number))


def _division(contest: Contest, code: str) -> Division:
    try:
        return contest.divisions.get(code=code)
    except Division.DoesNotExist:
        raise NotThis("division", _("that division is no longer there")) from None


def suggested_number(contest: Contest) -> int:
    """The number after the highest one, for a walk-up."""
    last = contest.contestants.order_by("-number").values_list("number", flat=True).first()
    return (last or 100) + 1
