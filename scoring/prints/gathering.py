"""Reading from the database what documents are made from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.changes.snapshot import one_snapshot
from contest.committee.states import agreed_by_class, committees
from contest.entries.accommodating import needs_of
from contest.helpers.codes import codes_of
from contest.helpers.pages import ways_in
from contest.keys import open_keys
from contest.models import Contest, Contestant, Team
from contest.models.outline import HAS_KEY
from contest.records.answers import answered
from contest.records.tallying import Tallied, tallied_exactly
from contest.scanning.rules import rules_of
from contest.scanning.whose import secret_of, year_of
from contest.trail.entries import trail_at
from contest.watch.finding import doubts_of
from reasons.day.pages import classes_shown
from reasons.models import ReasonsDay, Slot
from scoring.announced.held_back import holds_back
from scoring.announced.keys import shown_key
from scoring.announced.released import released
from scoring.events.paper import sweepstakes_of
from scoring.models import Protest, ProtestWindow
from scoring.next_level.choosing import choice_of
from scoring.prints import material as plain
from scoring.prints.document import Document, Need
from scoring.prints.fields import CardCodes
from scoring.prints.pictures import picture_at


def gather_material(contest_id: int, document: Document | None = None, address: str = "") -> plain.Material:
    """A contest at one revision, with what a document needs: as it is now, or for what is printed afterwards as it was
    announced last, once it was.

    Raises Contest.DoesNotExist.
    """
    needs = document.needs if document else frozenset()
    if "ways_in" in needs:
        codes_of(Contest.objects.get(pk=contest_id))  # makes what is missing, which no snapshot can
    with one_snapshot():
        contest = Contest.objects.get(pk=contest_id)
        material = _material(contest, tallied_exactly(contest), needs, address)
        if document and "changed" in document.asks:
            last = contest.last_prints.filter(document=document.name).first()
            material = replace(material, printed=last.sheets if last else {})
        return _announced(contest, material) if document and document.when == "after" else material


def _material(contest: Contest, shown: Tallied, needs: frozenset[Need], address: str) -> plain.Material:
    changed, head = trail_at(contest, shown.revision)
    people = Contestant.objects.filter(contest=contest)
    teams = Team.objects.filter(division__contest=contest).exclude(say_name="")
    rules = list(contest.classes.values_list("number", "minutes", "handling"))
    day = ReasonsDay.objects.filter(contest=contest).first()
    return plain.Material(
        contest_pk=contest.pk,
        revision=shown.revision,
        as_of=localtime(changed) if changed else None,
        trail_head=head,
        record=shown.record,
        result=shown.result,
        starts_at=contest.starts_at,
        minutes_per_class=contest.minutes_per_class,
        minutes={number: minutes for number, minutes, _handling in rules if minutes},
        handling={number: handling for number, _minutes, handling in rules if handling},
        say=dict(people.exclude(say_name="").values_list("number", "say_name")),
        say_teams={(code, name): say for code, name, say in teams.values_list("division__code", "name", "say_name")},
        arrived=frozenset(people.filter(checked_in_at__isnull=False).values_list("number", flat=True)),
        ribbons=(ribbons := _ribbons(contest)).pop("", {}),
        ribbons_of_sets=ribbons,
        award_lists=tuple(
            plain.AwardList(*row) for row in contest.award_lists.values_list("division", "code", "kind", "places")
        ),
        open_keys=(still_open := open_keys(contest)),
        posted_keys=_for_a_critique(contest, still_open) if "keys" in needs else {},
        held_back="keys" in needs and holds_back(contest),
        picture=picture_at(contest.pk),
        components=tuple((str(name), int(weight)) for name, weight in day.components) if day else (),
        rooms=tuple(_rooms(contest)) if "rooms" in needs else (),
        class_notes=_class_notes(contest, needs),
        doubts=tuple(doubts_of(contest)) if "doubts" in needs else (),
        protests=tuple(_protests(contest)) if "protests" in needs else (),
        protest_window=_window(contest) if "protests" in needs else None,
        public=_public(contest, address) if "public" in needs else "",
        next_level=choice_of(contest) if "next_level" in needs else None,
        sweepstakes=sweepstakes_of(contest) if "sweepstakes" in needs else None,
        accommodations=needs_of(contest) if "accommodations" in needs else {},
        committees=committees(contest) if "committees" in needs else {},
        agreed_by=agreed_by_class(contest) if "committees" in needs else {},
        answered=answered(contest) if "answers" in needs else {},
        card_codes=_card_codes(contest) if "card_codes" in needs else None,
        ways_in=tuple(ways_in(contest, address)) if "ways_in" in needs and address else (),
    )


def _ribbons(contest: Contest) -> dict[str, dict[int, plain.Ribbon]]:
    """What places are called, by the code of the set of results that calls them so; under "" of the contest itself."""
    found: dict[str, dict[int, plain.Ribbon]] = {}
    for code, place, name, colour in contest.ribbons.values_list("result_set__code", "place", "name", "colour"):
        found.setdefault(code or "", {})[place] = plain.Ribbon(name, colour)
    return found


def _card_codes(contest: Contest) -> CardCodes | None:
    """What cards are signed with, where the contest reads them by scanner; else they are plain, as people read them."""
    if not rules_of(contest).on:
        return None
    parts = tuple(contest.parts.filter(HAS_KEY).values_list("code", "pk"))
    return CardCodes(contest.pk, year_of(contest), secret_of(contest), parts)


def _public(contest: Contest, address: str) -> str:
    """Where families read the results: at home where they are published, else on this laptop where it is reached."""
    if contest.public_address:
        return f"{contest.public_address}/"
    return address and address + reverse("public-results", args=[contest.pk])


def _announced(contest: Contest, material: plain.Material) -> plain.Material:
    """The material with the record that was announced last in place of the one that goes on changing.

    Families and the contest may have changed their minds about names since. Whoever has another number or name by now
    is named on nothing that others see, until that is announced.
    """
    announced = released(contest)
    if announced is None:
        return material
    whole = announced.whole
    willing = set(contest.contestants.filter(show_name=True).values_list("number", "first_name", "last_name"))
    contestants = tuple(
        person._replace(show_name=(person.number, person.first_name, person.last_name) in willing)
        for person in whole.contestants
    )
    rules = replace(whole.rules, show_people_as=material.record.rules.show_people_as)
    return replace(
        material,
        revision=announced.revision,
        trail_head=trail_at(contest, announced.revision)[1],
        as_of=announced.at,
        record=replace(whole, rules=rules, contestants=contestants),
        result=announced.result,
        released=announced.version,
        open_keys={},
        posted_keys={
            judged.number: plain.PostedKey(judged.official, judged.cuts, open=material.open_keys.get(judged.number, ""))
            for judged in whole.classes
            if judged.official
        },
        corrected=announced.corrected,
    )


def _for_a_critique(contest: Contest, still_open: Mapping[int, str]) -> dict[int, plain.PostedKey]:
    """The keys that are shown in public by themselves."""
    shown = ((judged.number, shown_key(judged)) for judged in contest.classes.filter(key_release__isnull=False))
    return {
        number: plain.PostedKey(
            by_itself.key.official, by_itself.key.cuts, by_itself.corrected, still_open.get(number, "")
        )
        for number, by_itself in shown
        if by_itself
    }


def _protests(contest: Contest) -> Iterable[plain.Protest]:
    for row in Protest.objects.filter(contest=contest):
        decided_at = localtime(row.closed_at) if row.closed_at else None
        yield plain.Protest(row.by, row.text, localtime(row.at), row.outcome, decided_at)


def _window(contest: Contest) -> plain.ProtestWindow | None:
    window = ProtestWindow.objects.filter(contest=contest).first()
    return plain.ProtestWindow(localtime(window.deadline), window.note) if window else None


def _rooms(contest: Contest) -> Iterable[plain.Room]:
    slots: dict[int, list[plain.Slot]] = {}
    rows = Slot.objects.filter(room__contest=contest).values_list(
        "room_id", "contestant__number", "judging_class__number", "starts_at"
    )
    for room, number, class_number, starts in rows:
        slots.setdefault(room, []).append(plain.Slot(number, class_number, localtime(starts)))
    for row in contest.rooms.prefetch_related("officials"):
        officials = tuple(official.name for official in row.officials.all())
        yield plain.Room(_("Room {name}").format(name=row.name), officials, tuple(slots.get(row.pk, ())), row.shows_key)


def _class_notes(contest: Contest, needs: frozenset[Need]) -> dict[int, tuple[plain.PairNotes, ...]]:
    """Of all classes for what is printed afterwards; for rooms those that are heard where the key may be seen: notes
    give the placing away.
    """
    if "notes" in needs:
        shown = classes_shown(contest)
    elif "rooms" in needs:
        open_to_officials = Slot.objects.filter(room__contest=contest, room__shows_key=True)
        numbers = set(open_to_officials.values_list("judging_class__number", flat=True))
        shown = classes_shown(contest, numbers) if numbers else []
    else:
        shown = []
    return {
        judged.number: tuple(plain.PairNotes(pair.name, pair.animals, *pair.note) for pair in judged.pairs if pair.note)
        for judged in shown
    }
