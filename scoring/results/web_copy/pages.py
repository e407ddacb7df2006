"""What the web copy has of a contest, and of which state."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.conf import settings
from django.urls import reverse
from django.utils.translation import override

from contest.models import Contest, Contestant
from contest.scanning.pictures import for_families
from scoring.announced.held_back import holds_back_from_families
from scoring.announced.released import Released, released
from scoring.core.record import Contestant as Person
from scoring.results.downloads import csv_zip, workbook
from scoring.results.home import pictured
from scoring.results.links import links_of
from scoring.results.live import shown_to_all, site_of
from scoring.results.protests import ToldWindow, told_of_protests
from scoring.results.publishing import home_file, homes_of, pages_of
from scoring.results.telling import telling_of
from scoring.results.web_copy.places import PARTS, Part, file_for, state_in_force, trouble_of

LANGUAGES = [code for code, _name in settings.LANGUAGES]


def state_of(contest: Contest) -> str:
    """Stands for a contest as it was loaded, the time for protests and what pages are made with: while it is the same,
    so is all of the copy."""
    window = told_of_protests(contest)
    return f"{contest.revision}{'-over' if window and window.is_over else ''}-{_made_with()}"


def version_of(contest: Contest, part: Part, announced: Released) -> str:
    """Stands for the files of a part: it is the same where nothing in them would differ."""
    window = told_of_protests(contest)
    shown: list[object] = [_made_with(), window, window and window.is_over, announced.record, announced.announcements]
    shown.append(announced.unsettled)
    if part == "homes":
        links = [(link.token, str(link.team or ""), _called(link.contestant)) for link in links_of(contest)]
        numbers = [person.number for person in announced.record.contestants]
        pictures = sorted(for_families(contest, numbers), key=repr)
        people = [_called(person) for person in announced.whole.contestants if person.present]
        shown += [links, pictures, people, telling_of(contest, announced).notes]
    return hashlib.sha256(repr(shown).encode()).hexdigest()[:20]


@dataclass(frozen=True, slots=True)
class Told:
    """How far the web copy of a contest is: as new as what everybody may see, or on their way, or why not."""

    is_current: bool
    trouble: str


def told_of_web_copy(contest: Contest) -> Told | None:
    """What the superintendent is told of the web copy; None where no folder was chosen, or nothing may be read."""
    folder = settings.WEB_COPY_FOLDER
    if folder is None or readable_now(contest, "lists") is None:
        return None
    state = state_of(contest)
    current = all(state_in_force(folder, contest.pk, part) == state for part in PARTS)
    return Told(current, "" if current else trouble_of(folder, contest.pk))


def readable_now(contest: Contest, part: Part) -> Released | None:
    """What all may read of a contest at this moment; None while nothing may."""
    if part == "lists":
        return shown_to_all(contest)
    return None if holds_back_from_families(contest) else released(contest)


def files_of(contest: Contest, part: Part, announced: Released) -> Iterator[tuple[str, bytes]]:
    """Every file, by its path below the folder: the same pages as the site's own, in each language. A page whose
    address is no path is left to the site."""
    window = told_of_protests(contest)
    for language in LANGUAGES:
        with override(language):
            pages = _lists(contest, announced, window) if part == "lists" else _homes(contest, announced, window)
            for address, page in pages:
                if name := file_for(address):
                    yield f"{language}/{name}", page


def _lists(contest: Contest, announced: Released, window: ToldWindow | None) -> Iterator[tuple[str, bytes]]:
    yield from pages_of(announced, site_of(contest, announced, live=False), window)
    for ending, make in (("zip", csv_zip), ("xlsx", workbook)):
        made = make(announced.record, announced.result, public=True)
        yield reverse("public-file", args=[contest.pk, ending]), made


def _homes(contest: Contest, announced: Released, window: ToldWindow | None) -> Iterator[tuple[str, bytes]]:
    for link, page in homes_of(contest, announced, site_of(contest, announced, live=False), window):
        link.contest = contest
        yield reverse("take-home", args=[link.token]), home_file(pictured(link, page))


def _called(person: Contestant | Person | None) -> object:
    return person and (person.number, person.first_name, person.last_name)


@cache
def _made_with() -> str:
    """Changes where templates, texts or styles do, so that an update writes all pages anew."""
    digest = hashlib.sha256()
    texts = [path for app in ("contest", "reasons", "scoring") for path in (settings.BASE_DIR / app).rglob("*.mo")]
    manifest = Path(settings.STATIC_ROOT) / "staticfiles.json"
    for path in sorted([*(settings.BASE_DIR / "templates").rglob("*.html"), *texts, *filter(Path.is_file, [manifest])]):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:8]
