"""The contest's tables. The database itself refuses what must never be true; the functions that write keep the rest."""

from contest.models.accommodation import Accommodation
from contest.models.committee import CommitteeKey, CommitteeOfficial, CommitteeSeat
from contest.models.events import Event, EventCode, EventContest, EventPerson
from contest.models.helpers import Duty, Helper, JoinCode, WrongAttempt
from contest.models.history import RowChange, Unrecorded
from contest.models.identity import Identity, own_id
from contest.models.one_time_codes import OneTimeKey, RecoveryCode
from contest.models.organisations import Invitation, Membership, Organisation, Permit, SignOn
from contest.models.outline import (
    Category,
    ClassDivision,
    Contest,
    Division,
    JudgingClass,
    Part,
    ResultSet,
    TieDecision,
    TieStep,
)
from contest.models.people import Contestant, ReasonsOfficial, SetMember, Team
from contest.models.practice import (
    Practice,
    PracticeClass,
    PracticeMember,
    PracticeNote,
    PracticePicture,
    PracticePlacing,
)
from contest.models.practice_reasons import PracticeSet, PracticeSetScore, TermList
from contest.models.readings import (
    SCANNER,
    ChoiceReading,
    MarkReading,
    Reading,
    ReadingFields,
    ReasonsReading,
    Source,
    StackClaim,
    Submission,
    WavedMixup,
)
from contest.models.scanning import CardPicture, Scan, ScannedCard, ScanRules
from contest.models.scores import Card, Choice, Key, KeyDispute, Mark, PartKey, ReasonsScore, State
from contest.models.trail import SiteTrail, Touches, TrailDoor, TrailEntry, TrailName
from contest.models.uploads import BroughtFile

__all__ = [
    "SCANNER",
    "Accommodation",
    "BroughtFile",
    "Card",
    "CardPicture",
    "Category",
    "Choice",
    "ChoiceReading",
    "ClassDivision",
    "CommitteeKey",
    "CommitteeOfficial",
    "CommitteeSeat",
    "Contest",
    "Contestant",
    "Division",
    "Duty",
    "Event",
    "EventCode",
    "EventContest",
    "EventPerson",
    "Helper",
    "Identity",
    "Invitation",
    "JoinCode",
    "JudgingClass",
    "Key",
    "KeyDispute",
    "Mark",
    "MarkReading",
    "Membership",
    "OneTimeKey",
    "Organisation",
    "Part",
    "PartKey",
    "Permit",
    "Practice",
    "PracticeClass",
    "PracticeMember",
    "PracticeNote",
    "PracticePicture",
    "PracticePlacing",
    "PracticeSet",
    "PracticeSetScore",
    "Reading",
    "ReadingFields",
    "ReasonsOfficial",
    "ReasonsReading",
    "ReasonsScore",
    "RecoveryCode",
    "ResultSet",
    "RowChange",
    "Scan",
    "ScanRules",
    "ScannedCard",
    "SetMember",
    "SignOn",
    "SiteTrail",
    "Source",
    "StackClaim",
    "State",
    "Submission",
    "Team",
    "TermList",
    "TieDecision",
    "TieStep",
    "Touches",
    "TrailDoor",
    "TrailEntry",
    "TrailName",
    "Unrecorded",
    "WavedMixup",
    "WrongAttempt",
    "own_id",
]
