"""The words of the trade that members see beside the outline of a set: the coach's own, by species."""

from __future__ import annotations

from typing import NamedTuple

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.models import TermList

MOST_LISTS = 40
LONGEST_LIST = 4000
"""Characters."""


class Terms(NamedTuple):
    """The words for a species, those for all where it has none; `pk` is None where nobody has written them yet."""

    pk: int | None
    species: str
    words: str

    @property
    def lines(self) -> list[str]:
        return [line.strip() for line in self.words.splitlines() if line.strip()]


def all_terms() -> list[Terms]:
    """The words for every species, then those of each. Until somebody writes the first they are a few general ones."""
    rows = [Terms(row.pk, row.species, row.words) for row in TermList.objects.all()]
    return rows if rows and not rows[0].species else [Terms(None, "", _general()), *rows]


def _general() -> str:
    return "\n".join(
        [
            _("longer, taller, deeper, wider"),
            _("more level, straighter, smoother"),
            _("heavier muscled, thicker, leaner"),
            _("truer in its stride, freer moving"),
            _("more balanced, more correct"),
            _("I grant that …, but …"),
        ]
    )


@changes
def write_terms(pk: int, species: str, words: str) -> None:
    """Write the words for a species, or anew those of list `pk`, 0 for another; a list without words is deleted.

    Raises NotPossible where another list has that species, or there are too many.
    """
    if TermList.objects.filter(species__iexact=species).exclude(pk=pk).exists():
        if species:
            raise NotPossible(_("there is a list for {species} already; change that one").format(species=species))
        raise NotPossible(_("say which species the words are for"))
    if not words:
        TermList.objects.filter(pk=pk).delete()
    elif TermList.objects.filter(pk=pk).exists():
        TermList.objects.filter(pk=pk).update(species=species, words=words)
    elif TermList.objects.count() >= MOST_LISTS:
        raise NotPossible(_("there are {most} lists; delete one first").format(most=MOST_LISTS))
    else:
        TermList.objects.create(species=species, words=words)
