"""Which tables make up a contest, so that what their rows were is kept."""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps as installed
from django.apps.registry import Apps
from django.db.models import Model

RECORDED = (
    "contest.Contest",
    "contest.Division",
    "contest.Category",
    "contest.ResultSet",
    "contest.JudgingClass",
    "contest.ClassDivision",
    "contest.Part",
    "contest.Part_divisions",
    "contest.TieStep",
    "contest.TieDecision",
    "contest.Team",
    "contest.Contestant",
    "contest.SetMember",
    "contest.CommitteeOfficial",
    "contest.CommitteeSeat",
    "contest.CommitteeKey",
    "contest.Key",
    "contest.Key_agreed_by",
    "contest.KeyDispute",
    "contest.Reading",
    "contest.Card",
    "contest.MarkReading",
    "contest.Mark",
    "contest.PartKey",
    "contest.ChoiceReading",
    "contest.Choice",
    "contest.ReasonsOfficial",
    "contest.ReasonsReading",
    "contest.ReasonsScore",
    "contest.WavedMixup",
    "contest.ScanRules",
    "contest.ScannedCard",
    "reasons.ReasonsDay",
    "reasons.Room",
    "reasons.Room_officials",
    "reasons.Room_classes",
    "reasons.Slot",
    "reasons.PairNote",
    "scoring.KeyRelease",
    "scoring.TakeHomeLink",
    "scoring.NextList",
    "scoring.NotComing",
)
"""Each after those that its rows refer to."""

ONLY_WHEN_DELETED = ("contest.StackClaim", "reasons.SetNote")
"""Written without a word in the trail, and swept away with a class or a contestant."""

BOOKKEEPING = {
    "contest.Contest": frozenset(
        (
            "id",
            "organisation_id",
            "revision",
            "trail_head",
            "loading_at",
            "rows_kept_since",
            "deleted_at",
            "deleted_by",
            "emptied_at",
        )
    )
}
"""Columns that are no part of what a contest is: they move with every change."""


def recorded(apps: Apps = installed) -> Iterator[tuple[type[Model], frozenset[str], bool]]:
    """Each model whose rows are kept, the columns that are not, and whether only deletions are.

    A model that `apps`, which may be of an earlier version, does not have yet is left out.
    """
    for label in (*RECORDED, *ONLY_WHEN_DELETED):
        try:
            model = apps.get_model(label)
        except LookupError:
            continue
        yield model, BOOKKEEPING.get(label, frozenset()), label in ONLY_WHEN_DELETED
