"""Contests to print, and a reader of PDFs that is not the library that made them."""

from __future__ import annotations

import io
from dataclasses import is_dataclass, replace
from datetime import UTC, datetime, time
from functools import cache, cached_property
from pathlib import Path
from types import SimpleNamespace
from typing import NamedTuple

import pdfplumber
from pdfminer.pdftypes import resolve1
from pdfplumber.utils.text import WordExtractor

from contest.book import read_book
from contest.demo import DEMO_BOOK
from scoring.core.record import Contestant, Division, Record, Rules
from scoring.core.sweepstakes import Rule
from scoring.core.tally import tally
from scoring.events.paper import Sweepstakes
from scoring.events.tables import Scored, rule_in_words, tables
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.fields import CardCodes
from scoring.prints.material import Material, PostedKey, Ribbon, Room, Slot
from scoring.prints.rendering import html_of, render_pdf
from tests.bench.large_contest import large_record

HEAD = "0123456789abcdef" * 4
AS_OF = datetime(2026, 4, 25, 14, 3, 22, tzinfo=UTC)
LONG = "Wilhelmina-Alexandrina Featherstonehaugh-Cholmondeley of Upper Slaughterford-on-the-Wold"
NAMES = (
    ("Zażółć", "Gęślą-Jaźń"),
    ("שלומית", "בן־דוד"),
    ("عبد الرحمن", "الخطيب"),
    ("Þórdís", "Ærøskøbing"),
    ("Ольга", "Воронцова"),
    ("Nguyễn", "Thị Ánh"),
    ("Supercalifragilistic" * 3, ""),
    tuple(LONG.split(" ", 1)),
    ("Γιώργος", "Παπαδόπουλος"),
    ("太郎", "山田"),
    ("สมชาย", "ใจดี"),
)
FINDING = WordExtractor(x_tolerance=1.5)
CODES = CardCodes(contest=3, year=2026, secret=b"a secret of this contest alone..")
ALIKE = (301, 303, 306)
ABSENT, ALONE = (104, 304), 325


def material_of(record: Record, **more) -> Material:
    """A contest that no database holds. Everybody may know its keys."""
    posted = {judged.number: PostedKey(judged.official, judged.cuts) for judged in record.classes if judged.official}
    return Material(
        contest_pk=1,
        revision=7,
        as_of=AS_OF,
        record=record,
        result=tally(record),
        **{"trail_head": HEAD, "posted_keys": posted} | more,
    )


def a_day(record: Record) -> Sweepstakes:
    """The sweepstakes of a day that has the contest twice, with another name."""
    other = replace(record, rules=replace(record.rules, name=f"{record.rules.name}, once more"))
    rule, titles = Rule(tie_contest=0), [record.rules.name, other.rules.name]
    shown = [Scored(one, tally(one), one, {}) for one in (record, other)]
    return Sweepstakes(
        "County Day", tuple(titles), tuple(tables(shown, rule)), tuple(rule_in_words(rule, titles)), True
    )


@cache
def demo() -> Material:
    record = read_book(DEMO_BOOK)
    reasons = [judged for judged in record.classes if judged.reasons]
    speakers = [person for person in record.contestants if person.division in reasons[0].reasons][:8]
    slots = tuple(
        Slot(person.number, reasons[0].number, datetime(2026, 4, 25, 13, 2 * at)) for at, person in enumerate(speakers)
    )
    return material_of(
        record,
        starts_at=time(9, 30),
        say={102: "ZOH-ee LIND-kvarn"},
        ribbons={1: Ribbon("Champion", "purple"), 2: Ribbon("Reserve", "lilac")},
        rooms=(Room("Tack room", ("Ms. Ash",), slots),),
        doubts=(doubt(),),
        ways_in=(way_in(),),
        sweepstakes=a_day(record),
    )


@cache
def empty() -> Material:
    return material_of(Record(Rules(name="Nothing yet")))


@cache
def awkward() -> Material:
    """The demo with all that is hard on paper: long names, seven scripts, some who are level, some who are absent, a
    division of nobody and one of a single contestant."""
    record = demo().record
    people = tuple(
        person._replace(
            division="ONE" if person.number == ALONE else person.division,
            first_name=first,
            last_name=last,
            team=person.team and f"{person.team} {LONG}",
            show_name=True,
            present=person.number not in ABSENT,
        )
        for at, person in enumerate(record.contestants)
        for first, last in (NAMES[at % len(NAMES)],)
    )
    divisions = (Division("NONE", f"Nobody {LONG}", 3), Division("ONE", "One alone", 3), *record.divisions)
    classes = tuple(
        replace(judged, name=f"{judged.name}: {LONG}", divisions=(*judged.divisions, "NONE", "ONE"))
        for judged in record.classes
    )
    level = replace(
        record,
        divisions=divisions,
        classes=classes,
        rules=replace(record.rules, name=f"The {LONG} Memorial Contest", show_people_as="name"),
        contestants=people,
        cards=_alike(record.cards),
        reasons=_alike(record.reasons),
    )
    return replace(
        material_of(level),
        rooms=demo().rooms,
        doubts=(doubt(),),
        ways_in=(way_in(),),
        ribbons={1: Ribbon(LONG[:60], "a purple with silver"), 2: Ribbon("Reserve", "")},
        sweepstakes=a_day(level),
        card_codes=CODES,
    )


def _alike(rows: tuple) -> tuple:
    """Rows of which those who are level have the same, and whoever is alone gave no reasons."""
    first, *others = ALIKE
    own = [row for row in rows if row.number not in others and (row.number != ALONE or not hasattr(row, "official"))]
    copies = [
        replace(row, number=number) if is_dataclass(row) else row._replace(number=number)
        for row in own
        if row.number == first
        for number in others
    ]
    return tuple(own + copies)


@cache
def large(contestants: int = 600, groups: int = 16) -> Material:
    """A contest of many contestants in one division, of whom a class's cards are missing."""
    record = large_record(contestants)
    people = tuple(
        person._replace(division="JR", group=f"{at % groups + 1}") for at, person in enumerate(record.contestants)
    )
    cards = tuple(card for card in record.cards if card.class_number > 1)
    slots = tuple(
        Slot(person.number, 1, datetime(2026, 4, 25, 9 + at // 60, at % 60)) for at, person in enumerate(people[:300])
    )
    return replace(
        material_of(replace(record, contestants=people, cards=cards)),
        rooms=(Room("Tack room", ("Ms. Ash",), slots),),
        doubts=(doubt(),) * 100,
        ways_in=(way_in(),),
    )


def a_long_part(document: str) -> Choice:
    """What of 1 500 contestants is long: a thousand rows and more where there are rows, many pages of the others."""
    numbers = tuple(person.number for person in large().present[:8])
    return {
        "results": Choice(lists=("JR/overall",)),
        "standings": Choice(lists=("JR/reasons",), kinds=("teams",)),
        "ribbons": Choice(lists=("JR/overall",), places=300),
        "ribbon-labels": Choice(lists=("JR/overall",), places=150),
        "award-sheets": Choice(lists=("JR/overall",), places=15),
        "script": Choice(lists=("JR/overall",), places=80),
        "class-reports": Choice(classes=(1, 2)),
        "class-pictures": Choice(classes=(1, 2)),
        "stack-covers": Choice(classes=(1,)),
        "large-cards": Choice(numbers=numbers[:2]),
        **dict.fromkeys(("numbers", "placing-cards", "score-slips", "packets"), Choice(numbers=numbers)),
        **dict.fromkeys(("name-badges", "certificates", "coach-summaries"), Choice(numbers=numbers)),
    }.get(document, Choice())


def doubt():
    said = [
        SimpleNamespace(letter=letter, text=text, by="Ann", at=AS_OF, decides=False, reason="")
        for letter, text in (("a", "1432"), ("b", "1342"))
    ]
    return SimpleNamespace(title="Readings differ", what="Class 4, contestant 208", text="Look at the card.", said=said)


def way_in():
    return SimpleNamespace(
        name="Tabulator",
        work="reads placing cards",
        beginning="Choose a stack that is free.",
        code="ABCD-EFGH",
        address="http://192.168.4.20:8000/join/?code=ABCD-EFGH",
        qr_code="data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 8 8'/%3E",
    )


def a_part(material: Material, document: str) -> Choice:
    """Enough of a long document to see every kind of page of it."""
    numbers = tuple(person.number for person in material.present[:5])
    lists = tuple(f"{s.division}/{s.code}" for s in material.result.standings[-2:])
    asks = DOCUMENTS[document].asks
    # With reasons of two divisions, of one, and void.
    classes = tuple(judged.number for judged in material.record.classes if judged.number in (1, 3, 8))
    return Choice(
        numbers=numbers if "numbers" in asks and "lists" not in asks else (),
        classes=classes if "classes" in asks else (),
        lists=lists if "lists" in asks else (),
    )


def html(material: Material, document: str, choice: Choice | None = None) -> str:
    return html_of(DOCUMENTS[document], material, choice or Choice())[0]


def pdf(material: Material, document: str, choice: Choice | None = None) -> Pdf:
    """A document as it is printed. What several tests look at is laid out and read once."""
    choice = choice or Choice()
    page, pages, _ = html_of(DOCUMENTS[document], material, choice)
    return _printed(page, choice.copies, material.picture, pages)


@cache
def _printed(page: str, copies: int, picture: Path | None, pages: int) -> Pdf:
    return Pdf(render_pdf(page, copies, picture, pages=pages))


class _Read(NamedTuple):
    words: list[list[dict]]
    texts: list[str]
    marked: dict[tuple[int, int], str]


class Pdf:
    """What an independent reader finds in a PDF."""

    def __init__(self, data: bytes | Path) -> None:
        self.data = data if isinstance(data, bytes) else data.read_bytes()
        self._pdf = pdfplumber.open(io.BytesIO(self.data))
        self.pages = self._pdf.pages

    @property
    def words(self) -> list[list[dict]]:
        """The words of each page, with where they stand."""
        return self._read.words

    @property
    def text(self) -> str:
        """All of it, in lines."""
        return "\n".join(self._read.texts)

    @property
    def texts(self) -> list[str]:
        """The lines of each page."""
        return self._read.texts

    @property
    def marked(self) -> dict[tuple[int, int], str]:
        """The letters that belong together, without spaces, by the page's object and the mark that tags name."""
        return self._read.marked

    @cached_property
    def _read(self) -> _Read:
        """All that is wanted of the letters, which take long to be found and much more room than words."""
        read = _Read([], [], {})
        for page in self.pages:
            letters = page.chars
            words = FINDING.extract_wordmap(letters)
            read.words.append([word for word, _letters in words.tuples])
            read.texts.append(words.to_textmap(presorted=True).as_string)
            for letter in letters:
                if letter.get("mcid") is not None:
                    place = page.page_obj.pageid, letter["mcid"]
                    read.marked[place] = read.marked.get(place, "") + "".join(letter["text"].split())
            page.close()
        return read

    @property
    def catalogue(self) -> dict:
        return self._pdf.doc.catalog

    @property
    def about(self) -> str:
        return resolve1(self.catalogue["Metadata"]).get_data().decode()

    @property
    def title(self) -> str:
        return self._pdf.metadata["Title"]

    def fonts_left_out(self) -> list[str]:
        """The fonts that are not in the file."""
        found = []
        for page in self.pages:
            for font in (resolve1(resolve1(page.page_obj.resources).get("Font")) or {}).values():
                inner = resolve1(resolve1(resolve1(font)["DescendantFonts"])[0])
                described = resolve1(inner["FontDescriptor"])
                if not {"FontFile2", "FontFile3"} & set(described):
                    found.append(str(described["FontName"]))
        return found

    def outside(self, edge: float = 5) -> list[str]:
        """The words that come nearer to the paper's edge than this many points."""
        return [
            word["text"]
            for page, words in zip(self.pages, self.words, strict=True)
            for word in words
            if word["x0"] < edge
            or word["top"] < edge
            or word["x1"] > page.width - edge
            or word["bottom"] > page.height - edge
        ]

    def overlapping(self) -> list[tuple[str, str]]:
        """The pairs of words that lie over each other. A line may reach a little into the next one, as type does."""
        found = []
        for words in self.words:
            ordered = sorted(words, key=lambda word: word["top"])
            for at, one in enumerate(ordered):
                for other in ordered[at + 1 :]:
                    if other["top"] >= one["bottom"]:
                        break
                    deep = min(one["bottom"], other["bottom"]) - other["top"]
                    wide = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                    least = min(one["bottom"] - one["top"], other["bottom"] - other["top"])
                    if wide > 1 and deep > 0.4 * least:
                        found.append((one["text"], other["text"]))
        return found

    def inked_edges(self, edge: float = 8) -> list[int]:
        """The pages that have anything within so many points of the paper's edge, by their pixels."""
        found = []
        for number, page in enumerate(self.pages, start=1):
            image = page.to_image(resolution=72).original.convert("L")
            inner = image.crop((int(edge), int(edge), int(image.width - edge), int(image.height - edge)))
            blank = image.point(lambda shade: 255)
            blank.paste(inner, (int(edge), int(edge)))
            ring = image.copy()
            ring.paste(255, (int(edge), int(edge), int(image.width - edge), int(image.height - edge)))
            if ring.getextrema()[0] < 200:
                found.append(number)
        return found


def a_person(number: int = 1, **more) -> Contestant:
    return Contestant(number=number, **{"division": "SR", "first_name": "Given", "last_name": "Family", **more})
