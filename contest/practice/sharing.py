"""A practice in a file, for another coach: its classes, keys, notes and pictures, and nothing of whoever practised."""

from __future__ import annotations

from base64 import b64decode
from collections.abc import Iterable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.db.models import Sum
from django.db.models.functions import Length
from django.utils.translation import gettext as _

from contest.book.practice import EVERYBODY, NoteRow, PictureRow, write_practice
from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import new_code
from contest.models import Practice, PracticeClass, PracticeNote, PracticePicture
from contest.pair_notes import note_of
from contest.trail import note, sentence
from contest.web.middleware import MEGABYTE, MOST_UPLOADED
from scoring.core import record

BESIDES_PICTURES = MEGABYTE
"""Bytes of a file that are kept for everything that is no picture."""


def practice_file(practice: Practice) -> bytes:
    """The practice as a zipped contest book. Raises NotPossible for one that nobody could open for its size."""
    pictures = PracticePicture.objects.filter(judging_class__practice=practice)
    size = pictures.aggregate(size=Sum(Length("image")))["size"] or 0
    most = MOST_UPLOADED - BESIDES_PICTURES
    if size > most:
        told = _("its pictures have {size} MB, and a file can be opened with {most} MB of them; remove some first")
        raise NotPossible(told.format(size=-(-size // MEGABYTE), most=most // MEGABYTE))
    classes = list(practice.classes.all())
    name = _("Practice: {name}").format(name=classes[0].name)[:200]
    minutes = {judged.number: judged.minutes for judged in classes}
    with TemporaryDirectory() as folder:
        path = Path(folder) / "practice.zip"
        made_on = practice.made_at.date()
        write_practice(path, name, made_on, map(_class, classes), minutes, _notes(practice), _pictures(pictures))
        return path.read_bytes()


def _class(judged: PracticeClass) -> record.JudgingClass:
    return record.JudgingClass(
        number=judged.number,
        name=judged.name,
        divisions=(EVERYBODY,),
        perfect=judged.perfect,
        official=judged.official or None,
        cuts=judged.cuts or None,
        animals=judged.animals,
    )


def _notes(practice: Practice) -> Iterator[NoteRow]:
    rows = PracticeNote.objects.filter(judging_class__practice=practice).select_related("judging_class")
    for row in rows.order_by("judging_class__number", "pair"):
        yield NoteRow(row.judging_class.number, row.pair, note_of(row))


def _pictures(rows: Any) -> Iterator[tuple[PictureRow, bytes]]:
    in_order = rows.select_related("judging_class").order_by("judging_class__number", "view", "place", "animal")
    for row in in_order.iterator(8):
        number = row.judging_class.number
        file = f"{number}-{row.animal}-{row.view}.jpg"
        yield PictureRow(number, row.animal, row.view, file, row.says), bytes(row.image)


@changes
def open_practice(read: Iterable[dict[str, Any]], keeps: bool, by: str) -> Practice:
    """Make a practice of what `contest.uploads.readers.practice` read; its first class is on, the others wait."""
    practice = Practice.objects.create(code=new_code(), keeps=keeps)
    made: dict[int, PracticeClass] = {}
    for at, row in enumerate(read, start=1):
        if "number" in row:
            number = row.pop("number")
            cuts = tuple(row.pop("cuts"))
            made[number] = practice.classes.create(number=len(made) + 1, cuts=cuts, **row)
        elif "pair" in row:
            made[row.pop("of")].pair_notes.create(**row)
        else:
            image = b64decode(row.pop("image"))
            made[row.pop("of")].pictures.create(image=image, place=at, **row)
    note(by, sentence("practice_opened"))
    return practice
