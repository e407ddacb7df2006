"""The officials who hear reasons: added and removed."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, ReasonsOfficial, ReasonsReading, ReasonsScore
from contest.models.outline import TEXT_LENGTH
from contest.trail import record_change, sentence


def officials_of(contest: Contest) -> QuerySet[ReasonsOfficial]:
    """The reasons officials; each knows whether it is `unused`, and so can be removed."""
    return contest.reasons_officials.annotate(
        unused=~Exists(ReasonsReading.objects.filter(official=OuterRef("pk")))
        & ~Exists(ReasonsScore.objects.filter(official=OuterRef("pk")))
    )


@changes
def add_official(contest: Contest, name: str, by: str) -> ReasonsOfficial:
    """The reasons official of that name, in whatever case, made where there is none yet."""
    name = " ".join(name.split())
    if not name:
        raise NotPossible(_("give the official a name or a letter"))
    if len(name) > TEXT_LENGTH:
        raise NotPossible(_("that name is too long: {count} characters at most").format(count=TEXT_LENGTH))
    take_turn(contest.pk)
    for official in contest.reasons_officials.all():
        if official.name.casefold() == name.casefold():
            return official
    official = ReasonsOfficial.objects.create(contest=contest, name=name)
    record_change(contest, by, sentence("official_added"), after={"person": name}, about=[f"official:{official.pk}"])
    return official


@changes
def remove_official(official: ReasonsOfficial, by: str) -> None:
    """Remove an official who was added by mistake. Raises NotPossible once anything of theirs was read."""
    contest = official.contest
    take_turn(contest.pk)
    if official.readings.exists() or official.scores.exists():
        raise NotPossible(_("scores of {official} were read; they stay").format(official=official))
    before, about = {"person": official.name}, [f"official:{official.pk}"]
    official.delete()
    record_change(contest, by, sentence("official_removed"), before=before, about=about)
