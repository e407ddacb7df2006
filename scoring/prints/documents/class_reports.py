"""Class reports and pictures: how a class was placed, for the officials, the coaches and whoever built the class.

Whose names: nobody's. They count placings and name no contestant.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from contest.overview.pages import class_page
from scoring.core.common import placings_of
from scoring.core.keeping import best_choice, how_often_kept
from scoring.core.placing import ANIMALS, cut_name
from scoring.core.points import figure, in_thousands
from scoring.core.record import NO_CARD, UNREADABLE, JudgingClass, Part
from scoring.core.study import pairs_of
from scoring.core.tally import class_table
from scoring.prints.answers import Answers
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import class_part, fit
from scoring.standings.questions import questions_shown


def build(material: Material, choice: Choice) -> dict[str, Any]:
    chosen = [
        judged
        for judged in material.record.classes
        if judged.places and (not choice.classes or judged.number in choice.classes)
    ]
    parts = [] if choice.classes else [part for part in material.record.parts if part.animals]
    asked = [] if choice.classes else [part for part in material.record.parts if part.code in material.answered]
    return {
        "classes": [_report(material, judged) for judged in chosen],
        "parts": [_part_report(material, part) for part in parts],
        "asked": [_questions_report(material, part) for part in asked],
        "pages": len(chosen) + len(parts) + len(asked),
    }


def _questions_report(material: Material, part: Part) -> dict[str, Any]:
    """How each question of a part went. Nothing of that where answers changed after the results were announced."""
    found = Answers(material).as_scored(part.code)
    points = [p for s in material.result.scores if s.item == f"part:{part.code}" for p in s.points]
    return {
        "name": part.name,
        "part": part.name,
        "size": fit(part.name, (30, 56)),
        "done_by": ", ".join(material.division_names[code] for code in part.divisions),
        "mean": figure(round(sum(points, Fraction(0)) / len(points), 1)) if points else "",
        "most": figure(part.most),
        "has_key": material.answered[part.code].questions.key is not None,
        "questions": questions_shown(found) if found else [],
    }


def _part_report(material: Material, part: Part) -> dict[str, Any]:
    """How often each animal of a keep/cull part was kept, and what was earned."""
    here = {person.number for person in material.present}
    choices = [choice.kept for choice in material.record.choices if choice.part == part.code and choice.number in here]
    points = [p for s in material.result.scores if s.item == f"part:{part.code}" for p in s.points]
    kept = list(how_often_kept(part, choices))
    read = kept[0].of
    best = best_choice(part)
    return {
        "name": part.name,
        "part": part.name,
        "size": fit(part.name, (30, 56)),
        "done_by": ", ".join(material.division_names[code] for code in part.divisions),
        "counted": ngettext("{count} card read", "{count} cards read", read).format(count=in_thousands(read)),
        "keep": part.keep,
        "best": ", ".join(best),
        "most": figure(part.worth(best)) if part.values else "",
        "mean": figure(round(sum(points, Fraction(0)) / len(points), 1)) if points else "",
        "animals": [
            {
                "label": one.label,
                "worth": "" if one.worth is None else figure(one.worth),
                "best": one.is_best,
                "times": in_thousands(one.times),
                "percent": round(Fraction(100 * one.times, one.of)) if one.of else None,
            }
            for one in kept
        ],
    }


def _report(material: Material, judged: JudgingClass) -> dict[str, Any]:
    page = class_page(material.record, judged, material.open_keys)
    divisions = {person.number: person.division for person in material.present}
    scores = [
        (divisions[card.number], card.placing)
        for card in material.record.cards
        if card.class_number == judged.number and card.number in divisions and card.placing not in (NO_CARD, UNREADABLE)
    ]
    return {
        "judged": page["judged"],
        "part": class_part(judged.number),
        "official": judged.official,
        "cuts": ", ".join(map(str, judged.cuts or ())),
        "size": fit(judged.name, (30, 56)),
        "grid": page["grid"],
        "usual": len(judged.animals) == len(ANIMALS),
        "others": page["others"],
        "scored": page["scored"],
        "counted": ngettext("{count} card read", "{count} cards read", len(scores)).format(
            count=in_thousands(len(scores))
        ),
        "pairs": list(_pairs(judged, [placing for _, placing in scores])),
        "means": list(_means(material, judged, scores)),
    }


def build_pictures(material: Material, choice: Choice) -> dict[str, Any]:
    pages = [
        class_page(material.record, judged, material.open_keys) | {"size": fit(judged.name, (30, 56))}
        for judged in material.record.classes
        if not choice.classes or judged.number in choice.classes
    ]
    shown = [page | {"part": class_part(page["judged"].number)} for page in pages if page["picture"]]
    return {"classes": shown, "pages": len(shown)}


def _pairs(judged: JudgingClass, placings: list[str]) -> Any:
    """Each pair of animals as the officials have it: how many agree."""
    if not judged.official or not judged.cuts:
        return
    for pair in pairs_of(judged, placings_of(placings)):
        agree = pair.cards - pair.turned
        yield {
            "pair": _("{above} over {below}").format(above=pair.above, below=pair.below),
            "name": ""
            if pair.place is None
            else _("{name} pair").format(name=cut_name(pair.place, len(judged.animals))),
            "cut": pair.cut,
            "agree": agree,
            "of": pair.cards,
            "percent": round(Fraction(100 * agree, pair.cards)) if pair.cards else None,
        }


def _means(material: Material, judged: JudgingClass, cards: list[tuple[str, str]]) -> Any:
    """The mean score of readable cards, of everybody and by division."""
    if not judged.official or judged.full_points:
        return
    table = class_table(judged, material.record.rules)
    groups = [(_("All"), [placing for _, placing in cards])]
    if len(judged.divisions) > 1:
        groups += [
            (material.division_names[code], [placing for division, placing in cards if division == code])
            for code in judged.divisions
        ]
    for name, placings in groups:
        if placings:
            scores = [table[placing] for placing in placings]
            perfect = sum(placing == judged.official for placing in placings)
            yield {
                "name": name,
                "cards": len(placings),
                "mean": figure(Fraction(sum(scores), len(scores))),
                "highest": figure(max(scores)),
                "lowest": figure(min(scores)),
                "perfect": perfect,
            }


DOCUMENT = Document(
    name="class-reports",
    title=gettext_lazy("Class reports"),
    about=gettext_lazy(
        "One a class: the grid, how many gave each placing, how far they agree on each pair, and the mean. One a "
        "keep/cull part: how often each animal was kept. One a part with an answer key: how each question went."
    ),
    when="after",
    names=gettext_lazy("nobody’s"),
    build=build,
    asks=("classes",),
    needs=frozenset({"answers"}),
)

PICTURES = Document(
    name="class-pictures",
    title=gettext_lazy("Class pictures"),
    about=gettext_lazy(
        "One a class, for the critique: the 24 placings as a picture, with how many gave each and what each scores."
    ),
    when="after",
    names=gettext_lazy("nobody’s"),
    build=build_pictures,
    asks=("classes",),
)
