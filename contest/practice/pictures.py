"""The coach's own photographs of the animals of a class, by animal and the side that each is seen from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Max, QuerySet
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.models import PracticeClass, PracticePicture
from contest.practice.making import moved_on, take_practice

View = PracticePicture.View


@dataclass(frozen=True, slots=True)
class Side:
    """What is seen from one side: its code and name, and the pictures in the coach's order."""

    view: str
    name: str
    pictures: Sequence[PracticePicture]


@changes
def put_picture(judged: PracticeClass, animal: str, view: str, says: str, image: bytes) -> PracticePicture:
    """Keep a photograph that was written anew; another one of the same animal from the same side takes its place.

    Raises NotPossible for an animal that the class has not.
    """
    take_practice(judged.practice_id)
    if animal not in judged.animals:
        raise NotPossible(_("the class has no animal {animal}").format(animal=animal))
    of_side = judged.pictures.filter(view=view)
    before = of_side.filter(animal=animal).values_list("place", flat=True).first()
    last = of_side.aggregate(last=Max("place"))["last"] or 0
    place = before if before is not None else last and last + 1
    of_side.filter(animal=animal).delete()  # so that another picture has another address
    made = judged.pictures.create(animal=animal, view=view, says=says, place=place, image=image)
    moved_on(judged.practice)
    return made


@changes
def change_picture(judged: PracticeClass, pk: int, image: bytes, says: str) -> PracticePicture:
    """Put what was made of a photograph in its place, with what it shows.

    Raises NotPossible where it is gone, as it is too once somebody else has changed it.
    """
    take_practice(judged.practice_id)
    row = judged.pictures.defer("image").filter(pk=pk).first()
    if row is None:
        raise NotPossible(_("the picture was changed or removed meanwhile; look at it once more"))
    row.delete()
    made = judged.pictures.create(animal=row.animal, view=row.view, says=says, place=row.place, image=image)
    moved_on(judged.practice)
    return made


@changes
def move_picture(judged: PracticeClass, pk: int, by: int) -> None:
    """Move a photograph among those from its side, towards the first by -1 or the last by 1; does nothing at an end, or
    where it is gone."""
    take_practice(judged.practice_id)
    row = judged.pictures.defer("image").filter(pk=pk).first()
    if row is None:
        return
    order = [one.pk for one in _in_order(judged.pictures.filter(view=row.view))]
    at = order.index(pk)
    to = at + by
    if not 0 <= to < len(order):
        return
    order[at], order[to] = order[to], order[at]
    for place, one in enumerate(order, start=1):
        judged.pictures.filter(pk=one).update(place=place)
    moved_on(judged.practice)


@changes
def remove_picture(judged: PracticeClass, pk: int) -> None:
    """Delete a photograph of a class for good; does nothing where it is gone."""
    take_practice(judged.practice_id)
    judged.pictures.filter(pk=pk).delete()
    moved_on(judged.practice)


def sides_of(judged: PracticeClass) -> list[Side]:
    """The sides that there are pictures from, without the pictures themselves."""
    rows = list(_in_order(judged.pictures.all()))
    sides = [Side(view.value, str(view.label), [row for row in rows if row.view == view]) for view in View]
    return [side for side in sides if side.pictures]


def _in_order(rows: QuerySet[PracticePicture]) -> QuerySet[PracticePicture]:
    return rows.defer("image").order_by("place", "animal")
