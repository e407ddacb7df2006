"""The invented contest that `tests.make_demo` fills with cards: its rules, classes, keys, teams and people.

Everything here is made up for Tanbark: the valley, the clubs, the people, the officials and the sheep.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from scoring.core.record import Category, Division, JudgingClass, Part, Rules

RULES = Rules(
    name="Marrowby Spring Sheep Judging Day",
    held_on=date(2026, 4, 25),
    place="Marrowby Showground, Teasel Valley",
    readings_per_card=2,
    show_people_as="initials",
    unreadable_card="lowest",
)

# Each division has other team rules, so that every setting can be seen at work.
DIVISIONS = (
    Division("JR", "Junior", team_counting=3, short_team="zero", counting_members="fixed"),
    Division("IN", "Intermediate", team_counting=3, short_team="zero", counting_members="each"),
    Division("SR", "Senior", team_counting=3, short_team="unranked", counting_members="fixed"),
)

CATEGORIES = (Category("BRD", "Breeding sheep"), Category("MKT", "Market lambs"))

_ALL = ("JR", "IN", "SR")
_OLDER = ("IN", "SR")

CLASSES = (
    JudgingClass(1, "Yearling rams, meat breeds", _ALL, "BRD", reasons=_OLDER, official="3142", cuts=(3, 5, 2)),
    JudgingClass(2, "Ewes with lambs at foot", _ALL, "BRD", official="2431", cuts=(4, 3, 5)),
    JudgingClass(3, "Longwool ewe lambs", _ALL, "BRD", reasons=("SR",), official="1324", cuts=(2, 4, 3)),
    JudgingClass(4, "Market lambs, light weight", _ALL, "MKT", reasons=("SR",), official="4213", cuts=(2, 2, 3)),
    JudgingClass(5, "Hill-bred yearling ewes", _ALL, "BRD", official="1432", cuts=(6, 5, 4)),
    JudgingClass(6, "Market lambs, heavy weight", _ALL, "MKT", reasons=_OLDER, official="2314", cuts=(3, 2, 6)),
    JudgingClass(7, "Fine-wool ram lambs", _OLDER, "BRD", official="4123", cuts=(1, 6, 4)),
    # Thrown out after wether 3 went lame on the second rotation: its cards are in the book and count for nobody.
    JudgingClass(8, "Hogget wethers off winter roots", _ALL, "MKT", official="3421", cuts=(4, 4, 2), void=True),
    JudgingClass(9, "Feeder lambs straight off grass", _ALL, "MKT", official="1243", cuts=(2, 5, 5)),
    JudgingClass(10, "Butcher's choice: finished crossbreds", _ALL, "MKT", official="3214", cuts=(4, 6, 2)),
)

DIFFICULTY = {1: 1.0, 2: 0.9, 3: 1.2, 4: 1.3, 5: 0.7, 6: 1.1, 7: 1.5, 8: 1.0, 9: 0.9, 10: 0.8}
"""How hard the sheep of a class are to tell apart, beyond what its cuts say; 1 is usual."""

PARTS = (
    Part("QUEST", "Questions on the market lambs", ("JR",), most=50, scope="individual", category="MKT"),
    Part("KEEP", "Keep or cull, eight ewes", _OLDER, most=50, scope="individual", category="BRD"),
    Part("FLEECE", "Fleece table", _ALL, most=40, scope="team", category="BRD"),
)

# Longer than most contests need: every kind of step has its place, and each one decides something.
INDIVIDUAL_TIES = ("reasons", "part:QUEST", "class:4", "placing", "best-class", "total", "category:BRD")
TEAM_TIES = ("reasons", "part:FLEECE", "class:4", "placing", "best-class", "total", "category:BRD", "left-out")

OFFICIALS = ("T. Pennick", "R. Dragoş")
GENEROSITY = {"T. Pennick": -0.8, "R. Dragoş": 0.8}
"""What an official gives above the middle, in points."""
HEARD_BY_BOTH = (1, 6)
"""Classes whose senior sets both officials hear; every other set is heard by one of them."""

BASE_SKILL = {"JR": 0.50, "IN": 0.62, "SR": 0.72}
FIRST_NUMBER = {"JR": 101, "IN": 201, "SR": 301}


class Entry(NamedTuple):
    """A team, or the individuals of a division where `team` is empty; people as `First | Last`."""

    division: str
    team: str
    strength: float
    people: tuple[str, ...]


ENTRIES = (
    Entry("JR", "Cobblewick", 0.08, ("Maisie | Tolworthy", "Zoë | Lindqvarn", "Tobiah | Quarrick", "Ngozi | Adelumo")),
    Entry("JR", "Ockerby Fold", 0.07, ("Finlo | Strake", "Anaïs | Perrodel", "Juno | Hathersitch", "Kofi | Barimensa")),
    Entry("JR", "Tarrowdale", -0.08, ("Wilf | Scantlebrook", "Priya | Narendal", "Otis | Fernhaugh")),
    Entry("JR", "Sallowmead", -0.05, ("Mei-Lin | Tsaoyu", "Caspian | Rudgewell", "Élodie | Marchevent")),
    Entry("JR", "Hobbin Bridge", -0.1, ("Rowan | Tickleford", "Yusuf | Demirkaynak", "Bree | O'Dorrigan")),
    Entry("JR", "", -0.04, ("Pip | Underlea", "Ísold | Hraunfell")),
    Entry(
        "IN",
        "Tarrowdale",
        0.1,
        ("Saoirse | Mac Tiarnagh", "Leif | Ødegrav", "Imani | Okonjira", "Gwen | Pellowarne", "Dexter | Fallowby"),
    ),
    Entry("IN", "Wrenwater", 0.06, ("Łucja | Wrzosnik", "Amos | Kettlegrew", "Thảo | Đinh-Lưu", "Beatrix | Sorrelby")),
    Entry(
        "IN", "Old Mardle", 0.04, ("Hollis | Brindlecote", "Noor | Al-Zaheri", "Teodor | Vâlcanu", "Flora | Dunmarch")
    ),
    Entry("IN", "Fenny Rigg", -0.06, ("Jago | Trevannoc", "Marisol | Quintarrel", "Silas | Ormthwait")),
    Entry("IN", "", -0.03, ("Chloé | Vasseurin", "Rafferty | Stoop")),
    Entry(
        "SR",
        "Ockerby Fold",
        0.1,
        ("Henrike | Austerlund", "Malachy | Dunfarran", "Tamsin | Wherrow", "Ravi | Subramel"),
    ),
    Entry("SR", "Cobblewick", 0.1, ("Ayşe | Karadoruk", "Edmund | Larkspire", "Niamh | Corriveen", "Joss | Thackrigg")),
    Entry(
        "SR", "Wrenwater", 0.0, ("Solveig | Brattås", "Kwame | Asantefi", "Delphine | Roquevaire", "Ned | Hurlstane")
    ),
    Entry("SR", "Tarrowdale", 0.02, ("Inés | Carballeda-Mour", "Barnaby | Gillowfield", "Oluchi | Nwagbari")),
    Entry("SR", "Sallowmead", -0.05, ("Freya | Mossendyke", "Dario | D'Ambrezzi", "Kit | Penhallick")),
    Entry("SR", "Quillet Moor", -0.04, ("Agnieszka | Borowiczka", "Lorcan | Whinfell", "Suki | Tanabeshi")),
    Entry("SR", "Hobbin Bridge", -0.06, ("Perrin | Stallybrook", "Wanjiru | Kamothe", "Hal | Bexcombe")),
    Entry(
        "SR",
        "",
        -0.02,
        ("Maximiliana-Evangeline | Vandersloot-Abercrombington", "João | Figueirelo"),
    ),
)

# Who stayed away: a junior on her own, the fifth of a team of five, and two without whom their teams are short.
ABSENT = ("Ísold | Hraunfell", "Dexter | Fallowby", "Silas | Ormthwait", "Hal | Bexcombe")
NAME_NOT_SHOWN = ("Juno | Hathersitch", "Noor | Al-Zaheri", "Joss | Thackrigg")
