"""A contest looked back on, as a page shows it and as files have it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from scoring.core.class_picture import ClassPicture, picture_of
from scoring.core.explain import listed
from scoring.core.placing import cut_name
from scoring.core.points import as_figure, in_thousands
from scoring.core.record import Record
from scoring.core.study import EVERYBODY, ClassStudy, CutStudy, PairStudy, Study


@dataclass(frozen=True, slots=True)
class ShownPair:
    pair: str
    cut: int
    turned: str
    percent: int
    remark: str


@dataclass(frozen=True, slots=True)
class ShownClass:
    number: int
    name: str
    key: str
    hardest: str
    pairs: tuple[ShownPair, ...]
    picture: ClassPicture | None


def study_page(record: Record, made: Study) -> dict[str, Any]:
    """Everything that the page shows; figures are texts in the reader's language."""
    names = record.division_names | {EVERYBODY: _("All")}
    return {
        "rules": record.rules,
        "reliabilities": list(_reliabilities(made, names)),
        "classes": [_class_line(of, names) for of in made.classes],
        "shown": [_class_shown(record, of) for of in made.classes if of.division == EVERYBODY],
        "cuts": [_cut_line(cut, names) for cut in made.cuts if cut.moved],
        "cuts_tried": len(made.cuts),
        "officials": [
            {
                "number": of.class_number,
                "sets": in_thousands(of.sets),
                "apart": _figure(of.mean_difference),
                "most": _figure(of.most),
                "correlation": _figure(of.correlation, 2),
            }
            for of in made.officials
        ],
    }


def _figure(value: float | None, decimals: int = 1) -> str:
    """A figure with so many decimals; a dash where there is none."""
    if value is None:
        return "–"
    text = f"{value:.{decimals}f}"
    return as_figure(text.removeprefix("-") if float(text) == 0 else text)


def _reliabilities(made: Study, names: dict[str, str]) -> Iterator[dict[str, Any]]:
    for code, of in made.reliabilities.items():
        yield {
            "division": names[code],
            "people": in_thousands(of.people),
            "classes": of.classes,
            "alpha": _figure(of.alpha, 2),
            "low": _figure(of.low, 2),
            "high": _figure(of.high, 2),
            "dependability": _figure(of.dependability, 2),
            "error": _figure(of.error),
            "apart": _figure(of.tells_apart),
            "goal": of.classes_for_goal or "–",
        }


def _class_line(of: ClassStudy, names: dict[str, str]) -> dict[str, Any]:
    return {
        "number": of.judged.number,
        "name": of.judged.name,
        "is_first": of.division == EVERYBODY,
        "division": names[of.division],
        "cards": in_thousands(of.cards),
        "mean": _figure(of.mean if of.cards else None),
        "deviation": _figure(of.deviation if of.cards else None),
        "as_official": in_thousands(of.as_official),
        "separation": _figure(of.separation, 2),
    }


def _class_shown(record: Record, of: ClassStudy) -> ShownClass:
    judged, hardest = of.judged, of.hardest
    assert judged.official is not None and judged.cuts is not None
    words = _("Most had {below} over {above}, the other way round: {turned}")
    if hardest and 2 * hardest.turned <= hardest.cards:
        words = _("The pair most often turned round is {above} over {below}: {turned}")
    return ShownClass(
        judged.number,
        judged.name,
        f"{judged.official} {'-'.join(map(str, judged.cuts))}",
        words.format(above=hardest.above, below=hardest.below, turned=_share(hardest.turned, hardest.cards))
        if hardest
        else "",
        tuple(_pair(pair, len(judged.animals)) for pair in of.pairs),
        picture_of(judged, record.rules, of.placings),
    )


def _share(count: int, of: int) -> str:
    return _("{count} of {all}").format(count=in_thousands(count), all=in_thousands(of))


def _pair(pair: PairStudy, animals: int) -> ShownPair:
    remarks = []
    if pair.place is not None:
        remarks.append(_("{name} pair").format(name=cut_name(pair.place, animals)))
    if pair.could_switch:
        remarks.append(_("so small a cut that half could logically switch it"))
    return ShownPair(
        _("{above} over {below}").format(above=pair.above, below=pair.below),
        pair.cut,
        _share(pair.turned, pair.cards),
        pair.percent,
        ", ".join(remarks),
    )


def _cut_line(cut: CutStudy, names: dict[str, str]) -> dict[str, Any]:
    return {
        "number": cut.class_number,
        "which": cut_name(cut.place, cut.animals),
        "cut": cut.cut,
        "other": cut.other,
        "moved": _share(cut.moved, cut.people),
        "first": listed(names[code] for code in cut.new_first) if cut.new_first else "",
    }


def study_files(made: Study) -> dict[str, bytes]:
    """The same figures as CSV files, by name: with a decimal point, unrounded, whatever the language."""
    return {
        "reliability.csv": _csv(
            ("division", "people", "classes", "alpha", "low", "high", "dependability", "error"),
            (
                (code, of.people, of.classes, of.alpha, of.low, of.high, of.dependability, of.error)
                for code, of in made.reliabilities.items()
            ),
        ),
        "classes.csv": _csv(
            ("class", "division", "cards", "mean", "deviation", "as_official", "separation"),
            (
                (of.judged.number, of.division, of.cards, of.mean, of.deviation, of.as_official, of.separation)
                for of in made.classes
            ),
        ),
        "placings.csv": _csv(
            ("class", "division", "placing", "cards"),
            (
                (of.judged.number, of.division, placing, count)
                for of in made.classes
                for placing, count in sorted(of.placings.items())
            ),
        ),
        "pairs.csv": _csv(
            ("class", "division", "above", "below", "cut", "turned", "cards"),
            (
                (of.judged.number, of.division, pair.above, pair.below, pair.cut, pair.turned, pair.cards)
                for of in made.classes
                for pair in of.pairs
            ),
        ),
        "cuts.csv": _csv(
            ("class", "pair", "cut", "instead", "moved", "people", "new_first"),
            (
                (of.class_number, of.place + 1, of.cut, of.other, of.moved, of.people, " ".join(of.new_first))
                for of in made.cuts
            ),
        ),
        "officials.csv": _csv(
            ("class", "sets", "mean_difference", "most", "correlation"),
            ((of.class_number, of.sets, of.mean_difference, of.most, of.correlation) for of in made.officials),
        ),
    }


def _csv(head: Iterable[str], rows: Iterable[Iterable[Any]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue().encode()
