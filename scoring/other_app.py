"""What is kept of a contest besides its rows, and what becomes of it: files, boards, the books of releases."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from contest import kept
from contest.models import Contest, Touches
from contest.other_apps import OtherApp
from contest.trail import record_change, sentence
from scoring.announced import released
from scoring.announced.snapshots import record_from_book, snapshot
from scoring.board.board_cache import forget
from scoring.core.record import Record
from scoring.models import LastPrints, PrintJob, Release
from scoring.prints import bringing as prints
from scoring.prints.jobs import line, throw_away
from scoring.prints.looks import forget_looks
from scoring.prints.pictures import picture_of
from scoring.prints.shared import name_of
from scoring.results.web_copy.keeper import keep_web_copy
from scoring.season import bringing as season


def files_of(contest: Contest) -> list[str]:
    """The printed files of a contest, and its picture. What was looked at goes at once: it is made anew in seconds."""
    forget_looks()
    picture = picture_of(contest.pk)
    return [*_printed(contest), *([picture] if picture else [])]


def make_anonymous(contest: Contest, called: Callable[[str], str]) -> Callable[[str], None]:
    """Take the names out of the books of what was announced, before the turn. What this gives back puts them in place
    in the turn, and tells the trail by whom. Printed files go."""
    ahead = {bytes(row.book): _anonymous(row, called) for row in Release.objects.filter(contest=contest)}
    return partial(_put_in_place, contest, called, ahead)


def _put_in_place(contest: Contest, called: Callable[[str], str], ahead: dict[bytes, bytes], by: str) -> None:
    files = _printed(contest)
    forget_looks()
    PrintJob.objects.filter(contest=contest).delete()
    LastPrints.objects.filter(contest=contest).delete()
    for release in Release.objects.filter(contest=contest):
        book = ahead.get(bytes(release.book)) or _anonymous(release, called)
        Release.objects.filter(pk=release.pk).update(book=book)
        after = {"version": release.version, "book": hashlib.sha256(book).hexdigest()}
        what = sentence("release_made_anonymous", release=release.version)
        record_change(contest, by, what, after=after, touches=Touches.NOTHING)
    for file in files:
        transaction.on_commit(partial(kept.drop, file))
    transaction.on_commit(released.forget_all)  # what was announced is kept in memory with its names


def check_books(contest: Contest, books: dict[int, str]) -> Iterator[str]:
    """Releases whose book is no longer the one that the trail tells of."""
    kept = dict(Release.objects.filter(contest=contest).values_list("version", "book"))
    for version, digest in books.items():
        if version not in kept:
            yield _("release {version} is gone").format(version=version)
        elif hashlib.sha256(kept[version]).hexdigest() != digest:
            yield _("the book of release {version} is not the one that was announced").format(version=version)


def _printed(contest: Contest) -> list[str]:
    return [name_of(job) for job in PrintJob.objects.filter(contest=contest)]


def _anonymous(release: Release, called: Callable[[str], str]) -> bytes:
    record = record_from_book(bytes(release.book), release.reasons_standardised)
    return snapshot(_without_names(record, called))


def _without_names(record: Record, called: Callable[[str], str]) -> Record:
    return replace(
        record,
        contestants=tuple(contestant._replace(first_name="", last_name="") for contestant in record.contestants),
        reasons=tuple(score._replace(official=called(score.official)) for score in record.reasons),
        no_reasons=tuple(score._replace(official=called(score.official)) for score in record.no_reasons),
    )


SCORING = OtherApp(
    files_of,
    forget,
    make_anonymous,
    check_books,
    keep_web_copy,
    lines=(line,),
    tidying=(throw_away,),
    purposes={prints.NAME: prints.use_picture, season.NAME: season.let_wait},
)
