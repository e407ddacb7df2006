"""What a preset is: the outline of a contest to start from, and where each of its settings was read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from scoring.core.record import Record


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, by its own name."""

    name: str
    address: str


@dataclass(frozen=True, slots=True)
class Said:
    """What a preset sets, and where that was read; without a source it is common practice. Kept untranslated."""

    what: str
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Preset:
    """A start that a superintendent changes as their own rulebook says. It is nobody's official rules.

    `outline` makes it in the language of the moment, with the names of divisions, classes and parts; `minutes` are of
    classes that take another time than the contest says of every one, by number. `sizes` are the least and most members
    of a team.
    """

    code: str
    title: str
    outline: Callable[[], Record]
    said: tuple[Said, ...]
    minutes: Mapping[int, int] = field(default_factory=dict)
    sizes: tuple[int, int] = (0, 0)


CATA_HORSE = Source(
    "California Agricultural Teachers, Light Horse Judging, 2002", "https://docsbay.net/light-horse-judging"
)
CATA_LIVESTOCK = Source(
    "California Agricultural Teachers, Livestock Judging, 2022", "https://www.scribd.com/document/618275252/29-a07-1"
)
ARKANSAS = Source("Arkansas FFA, Livestock Evaluation", "https://docsbay.net/arkansas-ffa-livestock-evaluation")
NEBRASKA_7 = Source(
    "Nebraska District 7, Livestock Judging",
    "https://sites.google.com/a/hpcstorm.org/high-plains-agricultural-education/hpc-ffa/district-7---cde-contest/livestock-judging",
)
LIVESTOCK_SUMMARY = Source(
    "FFA Livestock Evaluation, a summary", "http://allagonline.com/livestock-judging-contest-preparation"
)
NAJRAE = Source("NAJRAE, Livestock Judging", "https://najrae.com/contests/individual-contests/livestock-judging/")
NEBRASKA_DAIRY = Source(
    "Nebraska State Fair 4-H, Dairy Judging",
    "https://4h.unl.edu/4-h-fairbook-nebraska-state-fair/contests/dairy-judging-contest",
)
NEBRASKA_HORSE = Source(
    "Nebraska 4-H, Horse Judging",
    "https://4h.unl.edu/nebraska-4-h-horse-show-judging-guide/state-horse-contests/judging",
)
STATE_HORSE = Source(
    "State 4-H Horse Judging Contest Rules, 2021",
    "https://docslib.org/doc/10325778/state-4-h-horse-judging-contest-rules",
)
GEORGIA_DAIRY = Source(
    "Georgia 4-H, Dairy Judging",
    "https://georgia4h.org/programs/focus-areas/agriculture-stem/agriculture/livestock-and-animal-projects/judging-teams/dairy/",
)
TENNESSEE_DAIRY = Source(
    "Tennessee 4-H, Dairy Judging",
    "https://4h.tennessee.edu/tennessee-4-h-awards-and-recognition-handbook/judging-team-award-programs/dairy-judging/",
)
TENNESSEE_POULTRY = Source("Tennessee 4-H, Poultry Judging", "https://4h.tennessee.edu/poultry-judging/")
NACTA_DAIRY = Source("NACTA, Dairy, 2017", "https://nactaarchives.org/index.php/dairy-required")
LSU_MEATS = Source("LSU AgCenter 4-H, Meat Judging", "https://slideplayer.com./slide/14730441")
FORT_WORTH_MEATS = Source(
    "Fort Worth Livestock Premium List, 2025, page 239",
    "https://user-68115808173.cld.bz/2025-Livestock-Premium-List/239",
)
NATIONAL_MEATS = Source(
    "National 4-H Meat Identification and Judging",
    "https://www.meatscience.org/students/meat-judging-program/national-4-h-meat-judging/identification-and-judging-contest",
)
PENN_POULTRY = Source(
    "Penn State, Poultry Judging Classes",
    "https://abe.psu.edu/programs/4-h/opportunities/projects/animal-science/poultry/contest-events/poultry-judging/classes",
)
MISSOURI_POULTRY = Source(
    "University of Missouri, Poultry Judging Revisions",
    "http://www.asrc.agri.missouri.edu/extension/poultry/poultry_judging_major_revisions.php",
)
NC_POULTRY = Source("NC State, 4-H Poultry Judging, 2019", "https://poultry4hyouth.ces.ncsu.edu/poultry-judging/")
STOCKMAN = Source(
    "Young Farmers, Stockman of the Year, 2016-17", "https://docest.com/doc/240346/nfyfc-stockman-of-the-year"
)
