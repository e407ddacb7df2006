"""Makes the book of the demo contest that is being judged, `fixtures/demo-day`, always to the same bytes:
`python -m tests.make_demo_day`.

What no book can hold, such as rooms, keys that are typed once and cards that nobody has, `scoring/demo` adds when it is
loaded. Everything here is made up for Tanbark: the dale, the clubs, the people and the cattle.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from contest.book import write_book
from scoring.core.placing import PLACINGS, grid
from scoring.core.record import (
    HUNDREDTHS,
    NO_CARD,
    UNREADABLE,
    Card,
    CardRead,
    Category,
    Contestant,
    Day,
    Division,
    HowRead,
    JudgingClass,
    Mark,
    MarkRead,
    NoMark,
    Part,
    PersonsDay,
    Record,
    Rules,
)
from tests.demo_people import Dice

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "demo-day"
SEED = 11
BOSS, ODILE, PIERS, EMRYS, RUNA = "superintendent", "Odile", "Piers", "Emrys", "Runa"
"""Who decides, who reads cards, and who enters marks."""

BOTH, SENIORS, JUNIORS = ("JR", "SR"), ("SR",), ("JR",)
CLASSES = (
    JudgingClass(1, "Yearling beef heifers", BOTH, "BEEF", reasons=SENIORS, official="2413", cuts=(3, 5, 2)),
    JudgingClass(2, "Dairy cows in milk", BOTH, "DAIRY", official="1342", cuts=(4, 2, 5)),
    JudgingClass(3, "Breeding bulls", SENIORS, "BEEF", reasons=SENIORS, official="3124", cuts=(2, 6, 3)),
    JudgingClass(4, "Dairy heifers in calf", BOTH, "DAIRY", official="4231", cuts=(3, 3, 4)),
    JudgingClass(5, "Store bullocks", BOTH, "BEEF"),
    JudgingClass(6, "Fat steers off grass", BOTH, "BEEF"),
)
KEYED = 3
"""So many classes have a confirmed key; cards of the fourth are being read while its key is typed."""

PARTS = (
    Part("QUIZ", "Twenty questions in the ring", JUNIORS, most=50, scope="individual", category="DAIRY"),
    Part("TURN", "Turning out a calf", BOTH, most=40, scope="team", category="BEEF"),
)

TEAMS = {
    "JR": {
        "Thornbeck": ("Mabli Orrest", "Tane Whirrow", "Ines Caldermoor"),
        "Merrow Bank": ("Bertil Hagsted", "Oona Fellgarth", "Samir Daouwi"),
        "Merrow Banks": ("Dilys Pennicott",),
        "Long Sallow": ("Akua Mensarfo", "Rufus Tindlewick", "Hedda Snaefell"),
        "Oxwell Green": ("Jory Trewarne", "Linnea Ostergård", "Cato Umberside"),
        "": ("Fenn Askerdale", "Marguerite Dubrelle"),
    },
    "SR": {
        "Thornbeck": ("Elowen Harkstead", "Dashiell Quernby", "Yuki Morisaka"),
        "Merrow Bank": ("Torquil Mansergill", "Saffi Benhaddar", "Una Loughrask"),
        "Long Sallow": ("Gethin Prysor-Vale", "Ottoline Marchbeck", "Kweku Adomsei"),
        "Oxwell Green": ("Ronja Tveitmark", "Ambrose Culpeth", "Nadia Vasilcu"),
        "Pennycote": ("Idris Llanfarren", "Petra Zelenkova", "Wyn Hartsop"),
        "": ("Philippa Gaunt-Rigby", "Mateo Sarraluz"),
    },
}
SCRATCHED, NOT_ARRIVED, NAME_NOT_SHOWN = {112, 217}, {113, 115}, {106, 209}
SAID = {104: "BAIR-til HAHG-sted", 207: "GETH-in PRISS-or vale", 211: "AM-brohz KULL-peth"}


def demo_day() -> Record:
    dice = Dice(SEED)
    people = tuple(_people())
    here = [person for person in people if person.present]
    cards = list(_cards(here, dice))
    _doubts(cards)
    marks = list(_marks(here, dice))
    return Record(
        Rules(
            name="Ammerdale Autumn Cattle Judging Day",
            place="Thrushfold Mart, Ammerdale",
            readings_per_card=2,
            show_people_as="name",
            unreadable_card="lowest",
        ),
        (Division("JR", "Junior", team_counting=3), Division("SR", "Senior", team_counting=3, short_team="unranked")),
        (Category("BEEF", "Beef cattle"), Category("DAIRY", "Dairy cattle")),
        tuple(judged if judged.number <= KEYED else replace(judged, official=None, cuts=None) for judged in CLASSES),
        PARTS,
        ("reasons", "class:1", "placing", "best-class"),
        ("placing", "class:1", "left-out"),
        people,
        tuple(card for card, _how in cards),
        marks=tuple(mark for mark, _how in marks if isinstance(mark, Mark)),
        no_marks=tuple(mark for mark, _how in marks if isinstance(mark, NoMark)),
        day=Day(
            people=tuple(PersonsDay(number, say_name=said) for number, said in SAID.items()),
            cards=tuple(CardRead(card.class_number, card.number, how) for card, how in cards),
            marks=tuple(_how_read(mark, how) for mark, how in marks),
        ),
    )


def _people() -> list[Contestant]:
    people = []
    for division, teams in TEAMS.items():
        names = [(team, name) for team, members in teams.items() for name in members]
        for turn, (team, name) in enumerate(names):
            number = (101 if division == "JR" else 201) + turn
            first, last = name.split(" ", 1)
            people.append(
                Contestant(
                    number,
                    division,
                    team,
                    first,
                    last,
                    "member" if team else "individual",
                    "ABC"[turn % 3],
                    number not in NAME_NOT_SHOWN,
                    number not in SCRATCHED,
                )
            )
    return people


def _cards(people: list[Contestant], dice: Dice) -> list[tuple[Card, HowRead]]:
    """The first two classes are read but for the last group's second reading, the third in part; of the fourth two
    stacks are open on the desks."""
    cards = []
    for judged in CLASSES[:4]:
        assert judged.official and judged.cuts
        points = dict(grid(judged.official, judged.cuts, judged.perfect))
        weights = [0.5 ** ((judged.perfect - points[placing]) / 6) for placing in PLACINGS]
        for place, person in enumerate(people):
            if person.division not in judged.divisions or person.number in NOT_ARRIVED:
                continue
            placing = dice.weighted(PLACINGS, weights)
            first, other = (ODILE, PIERS) if (place + judged.number) % 2 else (PIERS, ODILE)
            group = person.group
            if judged.number == 1 or (judged.number == 2 and group != "C") or (judged.number == 3 and group == "A"):
                cards.append((Card(judged.number, person.number, placing, placing), HowRead(first, "", other)))
            elif judged.number == 2 or (judged.number == 3 and group == "B"):
                cards.append((Card(judged.number, person.number, placing), HowRead(first)))
            elif judged.number == 4 and group in "AB" and (person.number % 100) < 9:
                cards.append((Card(4, person.number, placing), HowRead(ODILE if group == "A" else PIERS)))
    return cards


def _doubts(cards: list[tuple[Card, HowRead]]) -> None:
    """Readings that differ, one reader who read a card twice, two cards that changed places, and what was decided."""
    place = {(card.class_number, card.number): turn for turn, (card, _how) in enumerate(cards)}

    def change(of: tuple[int, int], how: HowRead, **card: str | None) -> None:
        cards[place[of]] = (cards[place[of]][0]._replace(**card), how)

    def placing(of: tuple[int, int]) -> str:
        return cards[place[of]][0].placing

    swapped = placing((1, 205))
    change((1, 205), HowRead(ODILE, "", PIERS), second=swapped[1] + swapped[0] + swapped[2:])
    change((1, 103), HowRead(PIERS, "", ODILE), second=UNREADABLE)
    change((1, 107), HowRead(BOSS, "2431", ODILE, "asked the official"), placing="2413", second=None)
    change((1, 211), HowRead(ODILE, "", PIERS), placing=UNREADABLE, second=UNREADABLE)
    change((1, 110), HowRead(BOSS, "", "", "no card was handed in"), placing=NO_CARD, second=None)
    # Two cards that were taken for each other by the second reader.
    change((2, 203), HowRead(ODILE, "", PIERS), placing="1342", second="3142")
    change((2, 204), HowRead(ODILE, "", PIERS), placing="3142", second="1342")
    change((2, 101), HowRead(ODILE, "", ODILE), placing="1324", second="1342")


def _marks(people: list[Contestant], dice: Dice) -> list[tuple[Mark | NoMark, HowRead]]:
    """The juniors' questions, half of them read twice, one in doubt and one without a mark; of the teams' a few."""
    juniors = [person for person in people if person.division == "JR" and person.number not in NOT_ARRIVED]
    marks: list[tuple[Mark | NoMark, HowRead]] = []
    for turn, person in enumerate(juniors[:11]):
        points = 5 * (4 + dice.below(6))
        said = str(points - 10) if turn == 2 else str(points) if turn < 7 else ""
        mark = Mark("QUIZ", points * HUNDREDTHS, number=person.number)
        marks.append((mark, HowRead(EMRYS, said, RUNA if said else "")))
    marks.append((NoMark("QUIZ", number=juniors[11].number), HowRead(EMRYS)))
    for division, team in (("JR", "Thornbeck"), ("SR", "Thornbeck"), ("SR", "Pennycote")):
        marks.append((Mark("TURN", (24 + dice.below(14)) * HUNDREDTHS, division=division, team=team), HowRead(EMRYS)))
    return marks


def _how_read(mark: Mark | NoMark, how: HowRead) -> MarkRead:
    return MarkRead(mark.part, mark.number, mark.division, mark.team, how)


if __name__ == "__main__":
    write_book(demo_day(), FOLDER)
