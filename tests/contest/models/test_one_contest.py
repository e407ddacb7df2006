"""The database itself refuses a row that would be of two contests."""

from datetime import time, timedelta
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from contest.models import Card, Contest, Key, MarkReading, TieStep, one_contest
from contest.models.triggers import triggers_there
from scoring.core.steps import STEPS
from tests.factories import PartFactory, a_contest

pytestmark = pytest.mark.django_db

TIED = {
    "Card": "judging_class contestant",
    "Ceremony": "contest award_list",
    "Choice": "part contestant",
    "ChoiceReading": "part helper contestant",
    "ClassDivision": "judging_class division",
    "CommitteeSeat": "judging_class official",
    "Contestant": "contest division team",
    "EventPerson": "place contestant",
    "Helper": "contest official committee_official",
    "JoinCode": "contest official committee_official",
    "JudgingClass": "contest category",
    "Key_agreed_by": "key committeeofficial",
    "Mark": "part contestant team",
    "MarkReading": "part helper contestant team",
    "Part": "contest category",
    "Part_divisions": "part division",
    "Reading": "judging_class helper contestant",
    "Ribbon": "contest result_set",
    "ReasonsReading": "judging_class official contestant helper",
    "ReasonsScore": "judging_class contestant official",
    "Room_classes": "room judgingclass",
    "Room_officials": "room reasonsofficial",
    "SetMember": "result_set contestant",
    "ScannedCard": "scan judging_class part",
    "SetNote": "judging_class contestant official",
    "Slot": "room judging_class contestant",
    "StackClaim": "helper judging_class",
    "TakeHomeLink": "contest team contestant",
    "NotComing": "contest team contestant",
    "TieStep": "contest judging_class category part",
}


def rows_of_all_models(contest):
    """A row of each model, all within one contest: more than one where a key can be empty."""
    model = {model.__name__: model for model in apps.get_models()}
    now = timezone.now()
    division, category = contest.divisions.get(), contest.categories.get()
    contest.classes.update(category=category)
    contest.parts.update(category=category)
    judging_class, part = contest.classes.get(), contest.parts.get()
    contestant = contest.contestants.select_related("team").first()
    team = contestant.team
    official = model["ReasonsOfficial"].objects.create(contest=contest, name="A")
    helper = model["Helper"].objects.create(contest=contest, duty="room", official=official, name="Sue")
    on_committee = model["CommitteeOfficial"].objects.create(contest=contest, name="Mary")
    seat = model["CommitteeSeat"].objects.create(judging_class=judging_class, official=on_committee)
    judging_class.keys.get().agreed_by.add(on_committee)
    room = model["Room"].objects.create(contest=contest, name="1")
    room.officials.add(official)
    room.classes.add(judging_class)
    award_list = model["AwardList"].objects.create(
        contest=contest, position=0, division="SR", code="overall", kind="teams"
    )
    of = model["ResultSet"].objects.create(contest=contest, position=0, code="CH", name="Chapters")
    heard = {"judging_class": judging_class, "contestant": contestant, "official": official}
    read = {"helper": helper, "by": "Sue"}
    event, _made = model["Event"].objects.get_or_create(name="Fair")
    place = model["EventContest"].objects.create(event=event, contest=contest)
    scan = model["Scan"].objects.create(contest=contest, digest="ab" * 32, by="Sue")
    key = judging_class.keys.get()
    cuts = {"official": key.official, "cuts": (1, 1, 1)}
    made = [
        division,
        category,
        judging_class,
        part,
        contestant,
        team,
        helper,
        model["JoinCode"](contest=contest, duty="room", official=official, code=f"room-{contest.pk}"),
        official,
        on_committee,
        seat,
        model["CommitteeKey"](seat=seat, version=1, placing="3124", cuts=(1, 1, 1), by="Mary"),
        *Key.agreed_by.through.objects.filter(committeeofficial=on_committee),
        model["Helper"](contest=contest, duty="committee", committee_official=on_committee, name="Lou"),
        model["JoinCode"](
            contest=contest, duty="committee", committee_official=on_committee, code=f"seat-{contest.pk}"
        ),
        room,
        award_list,
        of,
        model["SetMember"](result_set=of, contestant=contestant),
        model["Ribbon"](contest=contest, result_set=of, place=1, name="Best chapter"),
        scan,
        model["PrintJob"](contest=contest, document="doubts", revision=1, by="Sue"),
        model["ScannedCard"](
            scan=scan, page=1, place=1, judging_class=judging_class, became="waiting", submission=uuid4()
        ),
        model["ScannedCard"](scan=scan, page=1, place=2, part=part, became="waiting", submission=uuid4()),
        place,
        model["EventPerson"](place=place, contestant=contestant, together=uuid4()),
        key,
        model["KeyDispute"](key=key, by="Sue", **cuts),
        *room.officials.through.objects.filter(room=room),
        *room.classes.through.objects.filter(room=room),
        *judging_class.class_divisions.all(),
        *part.divisions.through.objects.filter(part=part),
        *Card.objects.filter(contestant=contestant),
        model["Reading"](
            submission=uuid4(), judging_class=judging_class, contestant=contestant, number=contestant.number, **read
        ),
        model["StackClaim"](helper=helper, judging_class=judging_class),
        model["Ceremony"](contest=contest, award_list=award_list),
        model["ReasonsReading"](submission=uuid4(), **heard, **read),
        model["ReasonsScore"](**heard, state="once"),
        model["PartKey"](part=part, version=1, given="1 2", by="Sue"),
        model["ChoiceReading"](submission=uuid4(), part=part, contestant=contestant, **read),
        model["Choice"](part=part, contestant=contestant, state="once"),
        model["SetNote"](**heard, by="A"),
        model["ReasonsDay"](contest=contest, starts_at=time(9)),
        model["TimetableSearch"](contest=contest, key=uuid4(), planning={}),
        model["Slot"](
            room=room,
            judging_class=judging_class,
            contestant=contestant,
            starts_at=now,
            ends_at=now + timedelta(minutes=2),
        ),
    ]
    for whose in ({"contestant": contestant}, {"team": team}):
        made += [
            model["Mark"](part=part, state="once", **whose),
            MarkReading(submission=uuid4(), part=part, **whose, **read),
            model["TakeHomeLink"](contest=contest, token=str(uuid4()), **whose),
            model["NotComing"](contest=contest, reason="ill", **whose),
        ]
    looks_at = {"class": ("judging_class", judging_class), "category": ("category", category), "part": ("part", part)}
    for kind, (name, row) in looks_at.items():
        made.append(TieStep(contest=contest, scope="team", position=0, kind=kind, **{name: row}))
    for row in made:
        if row.pk is None:
            row.save()
        row.refresh_from_db()
    return made


@pytest.fixture
def two_contests():
    return [rows_of_all_models(a_contest(parts=(PartFactory(),))) for _ in range(2)]


def of_both(two_contests, name, key):
    """The rows of a model in either contest that have a key."""
    (ours, *_), (theirs, *_) = (
        [row for row in rows if type(row).__name__ == name and getattr(row, f"{key}_id")] for rows in two_contests
    )
    return ours, theirs


def update(row, **columns):
    table = row._meta.db_table
    with transaction.atomic(), connection.cursor() as cursor:
        told = ", ".join(f"{column} = %s" for column in columns)
        cursor.execute(f"UPDATE {table} SET {told} WHERE id = %s", [*columns.values(), row.pk])
        return cursor.rowcount


def insert_again(row, **columns):
    """Delete a row and insert it once more, with some columns changed."""
    table = row._meta.db_table
    fields = row._meta.local_concrete_fields
    values = {field.column: field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields}
    values |= columns
    names, places = ", ".join(f'"{name}"' for name in values), ", ".join(["%s"] * len(values))
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {table} WHERE id = %s", [row.pk])
        cursor.execute(f"INSERT INTO {table} ({names}) VALUES ({places})", [*values.values()])
        return cursor.rowcount


class TestTwoContests:
    @pytest.mark.parametrize("name", TIED)
    def test_no_row_refers_to_another_contest(self, two_contests, name):
        for key in TIED[name].split():
            ours, theirs = of_both(two_contests, name, key)
            column, wrong = f"{key}_id", getattr(theirs, f"{key}_id")
            for change in (update, insert_again):
                with pytest.raises(IntegrityError, match="would be of two contests"):
                    change(ours, **{column: wrong})
                assert change(ours, **{column: getattr(ours, column)}) == 1  # a control
        connection.check_constraints()

    def test_no_row_leaves_behind_what_refers_to_it(self, two_contests):
        for model in one_contest.staying():
            keys = one_contest.ways(model)
            columns = [key.column for key in keys]
            ours, theirs = of_both(two_contests, model.__name__, keys[0].name)
            with pytest.raises(IntegrityError, match="would be of two contests"):
                update(ours, **{column: getattr(theirs, column) for column in columns})
            assert update(ours, **{column: getattr(ours, column) for column in columns}) == 1

    def test_nor_does_django_save_one(self, two_contests):
        ours, theirs = of_both(two_contests, "Card", "contestant")
        ours.contestant_id = theirs.contestant_id
        with pytest.raises(IntegrityError, match="would be of two contests"), transaction.atomic():
            ours.save()

    def test_a_team_moves_to_another_division_of_its_contest(self, two_contests):
        ours, _ = of_both(two_contests, "Team", "division")
        another = Contest.objects.get(pk=ours.division.contest_id).divisions.create(
            position=1, code="JR", name="Junior", team_counting=3
        )
        assert update(ours, division_id=another.pk) == 1

    def test_no_row_is_there_before_what_it_refers_to(self, two_contests):
        """Foreign keys are looked at when a transaction ends; by then the class could be of any contest."""
        ours, _ = of_both(two_contests, "Card", "contestant")
        with pytest.raises(IntegrityError, match="would be of two contests"):
            update(ours, judging_class_id=10**6, contestant_id=10**6)

    def test_without_the_triggers_all_of_it_is_taken(self, two_contests):
        """A control: it is they that refuse."""
        ours, theirs = of_both(two_contests, "Card", "contestant")
        with transaction.atomic():
            one_contest.drop_triggers("default")
            assert update(ours, contestant_id=theirs.contestant_id) == 1
            transaction.set_rollback(True)


class TestTheTriggers:
    def test_every_model_with_two_ways_to_a_contest_is_tied(self):
        tied = {model.__name__: " ".join(key.name for key in keys) for model, keys in one_contest.tied().items()}
        assert tied == TIED

    def test_every_model_leads_to_a_contest_or_is_known_not_to(self):
        ours = [m for name in ("contest", "reasons", "scoring") for m in apps.get_app_config(name).get_models(True)]
        others = {model.__name__ for model in ours if not one_contest.ways(model)}
        assert others == {
            "Contest",
            "Event",
            "EventCode",
            "Identity",
            "Invitation",
            "LibraryClass",
            "LibraryPractice",
            "Membership",
            "OneTimeKey",
            "Organisation",
            "Practice",
            "PracticeClass",
            "PracticeMember",
            "PracticeNote",
            "PracticePicture",
            "PracticePlacing",
            "PracticeSet",
            "PracticeSetScore",
            "RecoveryCode",
            "Season",
            "SeasonClass",
            "SeasonEntry",
            "SeasonMember",
            "SeasonPlacing",
            "SeasonReasons",
            "SeasonSource",
            "SignOn",
            "SiteTrail",
            "Submission",
            "TermList",
            "TrailDoor",
            "Unrecorded",
            "WrongAttempt",
        }

    def test_migrating_makes_them_again(self):
        there = triggers_there(connection, one_contest.PREFIX)
        one_contest.drop_triggers("default")
        assert triggers_there(connection, one_contest.PREFIX) == []
        call_command("migrate", verbosity=0)
        assert triggers_there(connection, one_contest.PREFIX) == there
        only_staying = {model.__name__ for model in one_contest.staying()} - set(TIED)
        assert only_staying == {
            *("Category", "Division", "Key", "Team", "ReasonsOfficial", "Room", "AwardList"),
            *("CommitteeOfficial", "EventContest", "ResultSet", "Scan", "TimetableSearch"),
        }
        assert len(there) == 2 * len(TIED) + len(only_staying)


class TestTieSteps:
    def test_a_step_refers_to_what_it_looks_at_and_to_nothing_else(self):
        contest = a_contest(parts=(PartFactory(),))
        rows = {
            "judging_class": contest.classes.get(),
            "category": contest.categories.get(),
            "part": contest.parts.get(),
        }
        for kind in STEPS:
            needed = {"class": "judging_class", "category": "category", "part": "part"}.get(kind)
            step = {"contest": contest, "scope": "team", "position": 0, "kind": kind}
            right = {name: row for name, row in rows.items() if name == needed}
            assert TieStep.objects.create(**step, **right).pk
            wrong = [right | {name: row} for name, row in rows.items() if name != needed] + [{}] * bool(needed)
            for references in wrong:
                with pytest.raises(IntegrityError, match="tie_step_kind"), transaction.atomic():
                    TieStep.objects.create(**step, **references)
