"""Cards that are read by a machine: how many are misread, how many go to people, why, and how fast it goes.

    nice python -m tests.bench.bench_scanning                        # 10 000 cards of the seeds that set nothing
    nice python -m tests.bench.bench_scanning --cards 2000 --half set --limits
    nice python -m tests.bench.bench_scanning --keep --cards 1000    # keep/cull cards
    nice python -m tests.bench.bench_scanning --answers --cards 400  # answer sheets
    nice python -m tests.bench.bench_scanning --speed --pages 1000

Cards are the print shop's own, drawn by poppler, filled in and spoilt by `tests/contest/scanning`. The thresholds of
`contest/scanning/reader/deciding.py` were set by the half `set` of the seeds; `told` is the other.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import tempfile
import time
from collections import Counter, defaultdict
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import django
import numpy as np
from PIL.ImageFilter import BoxBlur, MinFilter

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
django.setup()

from contest.scanning.reader.pages import pages_of  # noqa: E402
from contest.scanning.reader.reading import read_page  # noqa: E402
from tests.contest.scanning import answerers, keepers, pens  # noqa: E402
from tests.contest.scanning.pens import ERASABLE, MENDED, SECRET, Hand, animals_of, blank, filled  # noqa: E402
from tests.contest.scanning.scanners import DPIS, dog_eared, ringed, seen, smudged  # noqa: E402

AT_LEAST = 150
"""Dots an inch from which on at most 2 % may go to people."""
SPOILT = ((smudged, 0.06), (ringed, 0.01), (dog_eared, 0.04))
WRONG = 0.10
"""So many cards say no placing, or more than one."""
ERASED = 0.04
PALE = {"two marks, one light", "both, one light", "hardly there"}
LEFT, NEAR_PRINT = 4, 5
"""Grey levels of 255, once dots are means of nine: what differs by less is the JPEG's; and of how many dots across none
may be print, which a pale stroke that crosses it makes a little thicker."""
PAPER = 160
"""Grey levels from which on a dot of a copy that washes out what is pale is paper."""
MISHAPS = {"smudge", "coffee ring", "bent corner", "erased", "erased badly", "pale pencil", "copier", "blur", "spare"}


class Kind(NamedTuple):
    """A kind of card: how it is made, what of all that may be amiss with it says one thing all the same, each as often
    as its weight says, and after how many its figures are told."""

    prefix: str
    maker: ModuleType
    mended: dict[str, int]
    told_every: int = 1000

    def card_of(self, seed: str, without: str = ""):
        """A card as it comes to the scanner, its picture and its dots an inch: all of it hangs on the seed. The same
        card without a second, pale mark, if that is what it is to be `without`."""
        dice = random.Random(self.prefix + seed)
        card, hand = self.maker.blank(dice), Hand(dice)
        chance, wrong = dice.random(), ""
        if chance < WRONG:
            wrong = dice.choice(self.maker.WRONGS)
        elif chance < WRONG + ERASED and hand.pen in ERASABLE:  # with a pen people strike out, which is among WRONGS
            wrong = dice.choices(list(self.mended), list(self.mended.values()))[0]
        self.maker.filled(card, hand, wrong, **({"without": without} if without else {}))
        return _spoilt(card, dice)

    def read(self, seed: str):
        """Such a card, what is found of it, and the seconds of processor time that took."""
        card, picture, dpi = self.card_of(seed)
        counts = {keepers: "keep_of", answerers: "questions_of"}.get(self.maker)
        animals_of = answerers.options_of if self.maker is answerers else self.maker.animals_of
        began = time.process_time()
        found = read_page(picture, SECRET, animals_of, *([getattr(self.maker, counts)] if counts else []))
        return card, dpi, found, time.process_time() - began


KINDS = {
    "placing": Kind("", pens, dict(zip(MENDED, (3, 1), strict=True))),
    "keep": Kind("keep ", keepers, {keepers.ERASED: 1}),
    "answers": Kind("answers ", answerers, {answerers.ERASED: 1}, told_every=20),
}


def _spoilt(card, dice: random.Random):
    for spoil, often in SPOILT:
        if dice.random() < often:
            spoil(card, dice)
    dpi = dice.choices(DPIS, [10, 25, 45, 20])[0]
    return card, seen(card, dice, dpi), dpi


def outcome_of(kind: Kind, seed: str, card, found) -> str:
    """`right`, `to a person`, `not found`; `misread` is what must never be.

    `misread in part` is an answer sheet that goes to a person, of which something is offered as sure that is not so.
    `not in the file` is a pale mark that the copier left nothing of: no dot of bare paper is darker with it.
    """
    if len(found) != 1:
        return "not found"
    (one,) = found
    if not one.certain and not (one.guess and not answerers.agrees(card, one.guess)):
        return "to a person"
    if one.certain and (one.identity, one.placing, one.number_marked) == (card.identity, card.placing, card.number):
        return "right"
    if one.washed_out and any(_is_lost(kind, seed, pale) for pale in PALE & set(card.done)):
        return "not in the file"
    return "misread" if one.certain else "misread in part"


def _is_lost(kind: Kind, seed: str, pale: str) -> bool:
    """Whether a card looks as it would without its pale mark, but for what is printed there."""
    with_mark, without = (kind.card_of(seed, gone)[1] for gone in ("", pale))
    bare = np.asarray(without.filter(MinFilter(NEAR_PRINT))) >= PAPER
    seen, meant = (np.asarray(picture.filter(BoxBlur(1)), dtype=np.int16) for picture in (with_mark, without))
    return bool(((meant - seen) * bare).max() <= LEFT)


def cards(kind: Kind, first: int, count: int, half: str, limits: bool) -> None:
    by_done: dict[str, Counter] = defaultdict(Counter)
    took, misread, decisive, bare = 0.0, [], [], []
    wrongs = kind.maker.WRONGS
    for at in range(first, first + count):
        seed = f"{half} {at}"
        card, dpi, found, seconds = kind.read(seed)
        took += seconds
        outcome = outcome_of(kind, seed, card, found)
        if outcome in ("misread", "misread in part", "not in the file"):
            misread.append((outcome, seed, card.done, card.placing, card.number, found[0].placing or found[0].guess))
        whole = "says one placing" if card.placing else "says none or two"
        fine = dpi >= AT_LEAST
        for name in (f"{whole}, {'150 dpi and better' if fine else '100 dpi'}", *card.done):
            if name not in wrongs or not card.placing:
                by_done[name][outcome] += card.placing != "" or name in wrongs or name.startswith(whole)
        if card.placing and fine and outcome != "right":
            for trouble in found[0].troubles if len(found) == 1 else ("not found",):
                by_done[f"why: {trouble}"][outcome] += 1
            by_done[f"of those to people: {', '.join(sorted(set(card.done) & MISHAPS)) or 'nothing amiss'}"][
                outcome
            ] += 1
        if limits and card.placing and fine and len(found) == 1 and found[0].fills:
            chosen, others = split(card, found[0].fills)
            decisive.append((min(chosen), seed))
            bare.append((max(others), seed))
        if (at - first + 1) % kind.told_every == 0 or at == first + count - 1:
            print_figures(at - first + 1, half, took, by_done, misread)
    if limits:
        print(
            "  least ink in a marked box:",
            *(f"{ink:.2f} ({seed})" for ink, seed in sorted(decisive)[:: max(1, count // 400)][:14]),
        )
        print(
            "  most in a bare one:",
            *(f"{ink:.2f} ({seed})" for ink, seed in sorted(bare, reverse=True)[:: max(1, count // 400)][:14]),
        )


def print_figures(count: int, half: str, took: float, by_done: dict[str, Counter], misread: list) -> None:
    """What came of the cards so far."""
    print(f"{count} cards of the half {half!r}; {took / count * 1000:.0f} ms of processor time a card")
    for name, counts in sorted(by_done.items(), key=lambda item: (":" in item[0], "says" not in item[0], item[0])):
        total = sum(counts.values())
        if total:
            people, lost, gone = counts["to a person"], counts["not found"], counts["not in the file"]
            print(
                f"  {name:52} {total:6}  right {counts['right']:6}  to a person {people:5} ({people / total:.1%})",
                end="",
            )
            print(f"  not found {lost}  not in the file {gone}  misread {counts['misread']}", end="")
            print(f"  in part {counts['misread in part']}" if counts["misread in part"] else "")
    for line in misread:
        print("  NOT RIGHT", *line)
    print(flush=True)


def split(card, fills):
    """The ink in the boxes that are marked, and in those that are not."""
    chosen = {(place, card.animals.index(animal)) for place, animal in enumerate(card.placing)}
    cells = [((place, at), ink) for place, row in enumerate(fills) for at, ink in enumerate(row)]
    return [ink for cell, ink in cells if cell in chosen], [ink for cell, ink in cells if cell not in chosen]


def speed(pages: int) -> None:
    """Pages of four cards at 200 dpi, as a scanner's PDF has them: a long file, read from its first page on."""
    from PIL import Image

    width, height = round(210 / 25.4 * 200), round(297 / 25.4 * 200)
    sheets = []
    for sheet in range(4):
        page = Image.new("L", (width, height), 255)
        for at in range(4):
            dice = random.Random(f"speed {sheet} {at}")
            card = filled(blank(dice), Hand(dice))
            piece = card.picture.resize((width // 2, height // 2), Image.Resampling.BOX)
            page.paste(piece, (at % 2 * (width // 2), at // 2 * (height // 2)))
        sheets.append(page)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scanned.pdf"
        _repeated(sheets, pages, path)
        print(f"{pages} pages, {path.stat().st_size / 1e6:.0f} MB")
        began, found, memory = time.process_time(), 0, {}
        for at, page in enumerate(pages_of(path)):
            found += len(read_page(page, SECRET, animals_of))
            if at + 1 in (max(1, pages // 10), pages // 2, pages):
                memory[at + 1] = f"{_memory() >> 20} MB"
                print(f"after page {at + 1}: {memory[at + 1]}", flush=True)
        took = time.process_time() - began
        print(f"{found} cards, {found / took:.0f} a second of processor time; memory after pages: {memory}")


def _repeated(sheets: list, pages: int, path: Path) -> None:
    """A PDF of so many pages, each with a picture of its own, made without compressing every one anew."""
    import pypdfium2

    few = path.with_name("few.pdf")
    sheets[0].save(few, save_all=True, append_images=sheets[1:], resolution=200)
    with pypdfium2.PdfDocument(few) as once, pypdfium2.PdfDocument.new() as made:
        for first in range(0, pages, len(sheets)):
            made.import_pages(once, list(range(min(len(sheets), pages - first))))
        made.save(path)


def _memory() -> int:
    """Bytes of memory that this process holds at present."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize()


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--cards", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--half", choices=["set", "told"], default="told")
    parser.add_argument("--limits", action="store_true", help="say how much ink was in marked and in bare boxes")
    parser.add_argument("--keep", action="store_true", help="keep/cull cards instead")
    parser.add_argument("--answers", action="store_true", help="answer sheets instead")
    parser.add_argument("--speed", action="store_true")
    parser.add_argument("--pages", type=int, default=1000)
    chosen = parser.parse_args()
    if chosen.speed:
        speed(chosen.pages)
    else:
        kind = KINDS["answers" if chosen.answers else "keep" if chosen.keep else "placing"]
        cards(kind, chosen.first, chosen.cards, chosen.half, chosen.limits and kind.maker is pens)


if __name__ == "__main__":
    main()
