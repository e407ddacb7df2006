"""Keeping a practice in the library, and taking it out."""

from __future__ import annotations

import hashlib
import json

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.models import Practice, PracticeClass
from contest.practice.sharing import practice_file
from contest.practice.showing import score_of
from contest.trail import note, sentence
from scoring.models import LibraryClass, LibraryPractice

MOST_KEPT = 200


@changes
def keep(practice: Practice, species: str, by: str) -> LibraryPractice:
    """Keep a practice with its pictures, and how the group scored; one that is kept already is kept anew.

    Raises NotPossible where no class has an official placing, or its file would be too large to be opened.
    """
    judged = [one for one in practice.classes.prefetch_related("placings") if one.official]
    if not judged:
        raise NotPossible(_("no class of it has an official placing yet"))
    keys = [(one.number, one.name, one.animals, one.official, list(one.cuts)) for one in judged]
    digest = hashlib.sha256(json.dumps(keys).encode()).hexdigest()
    file = practice_file(practice)
    LibraryPractice.objects.filter(digest=digest).delete()
    if LibraryPractice.objects.count() >= MOST_KEPT:
        raise NotPossible(_("the library holds at most {most} practices; take one out").format(most=MOST_KEPT))
    kept = LibraryPractice.objects.create(species=species, digest=digest, file=file)
    LibraryClass.objects.bulk_create(_class(kept, one) for one in judged)
    note(by, sentence("library_kept"))
    return kept


def _class(kept: LibraryPractice, judged: PracticeClass) -> LibraryClass:
    scores = [score_of(judged, row.placing) for row in judged.placings.all() if not row.late]
    return LibraryClass(
        kept=kept,
        number=judged.number,
        name=judged.name,
        animals=judged.animals,
        perfect=judged.perfect,
        official=judged.official,
        cuts=judged.cuts,
        placed=len(scores),
        points=sum(scores),
    )


@changes
def take_out(kept: LibraryPractice, by: str) -> None:
    LibraryPractice.objects.filter(pk=kept.pk).delete()
    note(by, sentence("library_taken_out"))
