"""The coach's own photographs of the animals of a class, by animal and the side that each is seen from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.models import PracticeClass, PracticePicture
from contest.practice.making import moved_on, take_practice

View = PracticePicture.View


@dataclass(frozen=True, slots=True)
class Side:
    """What is seen from one side: its code and name, and the pictures in the order of the animals' labels."""

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
    judged.pictures.filter(animal=animal, view=view).delete()  # so that another picture has another address
    made = judged.pictures.create(animal=animal, view=view, says=says, image=image)
    moved_on(judged.practice)
    return made


@changes
def remove_picture(judged: PracticeClass, pk: int) -> None:
    """Delete a photograph of a class for good; does nothing where it is gone."""
    take_practice(judged.practice_id)
    judged.pictures.filter(pk=pk).delete()
    moved_on(judged.practice)


def sides_of(judged: PracticeClass) -> list[Side]:
    """The sides that there are pictures from, without the pictures themselves."""
    rows = list(judged.pictures.defer("image").order_by("animal"))
    sides = [Side(view.value, str(view.label), [row for row in rows if row.view == view]) for view in View]
    return [side for side in sides if side.pictures]
