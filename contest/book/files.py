"""The files of a book, from a folder or a zip, as bytes by name. A zip is never unpacked onto the disk."""

from __future__ import annotations

import lzma
import stat
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from contest.book.problems import Problems
from scoring.core.points import in_thousands
from scoring.core.texts import gettext as _

CONTEST = "contest.toml"
ENTRIES = "entries.csv"
CARDS = "cards.csv"
REASONS = "reasons.csv"
MARKS = "marks.csv"
CHOICES = "choices.csv"
PANEL = "panel.csv"
BOOK_FILES = (CONTEST, ENTRIES, CARDS, REASONS, MARKS, CHOICES, PANEL)
PRACTICE = "practice.csv"
PICTURES = "pictures.csv"
NOTES = "notes.csv"
PRACTICE_FILES = (PRACTICE, PICTURES, NOTES)
"""What a practice's book has besides; whoever reads it as a contest's passes over them."""
RESULT_FILES = ("individuals.csv", "teams.csv", "scores.csv", "team-scores.csv")

MOST_BYTES = 64 * 1024 * 1024
"""The largest book, unpacked: well above 20 000 contestants, and small enough for a laptop to hold twice."""
MOST_OUTLINE = 1_000_000
"""Bytes of contest.toml: its reader may need a thousand times as much memory for a malicious one; ours have 3 000."""
MOST_MEMBERS = 1000
UNREADABLE_ZIP = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    EOFError,
    UnicodeDecodeError,  # of a name that is damaged where its member begins
    OSError,
    RuntimeError,  # a member asks for a password
    NotImplementedError,  # a compression that this Python does not know
)


def book_files(
    path: Path, problems: Problems, name: str = "", wanted: tuple[str, ...] = BOOK_FILES
) -> dict[str, bytes]:
    """The `wanted` files of the book at `path`, a folder or a zip, by name; what is wrong goes to `problems`.

    Problems call a zip by `name`, or else by its own.
    """
    if path.is_dir():
        files = _from_folder(path, problems)
    elif path.is_file():
        files = _from_zip(path, name or path.name, problems)
    else:
        told = _("there is no such book; give the folder that holds contest.toml, or a .zip of it")
        problems.add(str(path), 0, told)
        return {}
    if CONTEST not in files and not problems:
        where = str(path) if path.is_dir() else name or path.name
        problems.add(where, 0, _("it holds no contest.toml, so it is not a contest book"))
    if len(files.get(CONTEST, b"")) > MOST_OUTLINE:
        size = len(files.pop(CONTEST))
        told = _("it has {size} bytes; {most} is the most, far more than a contest needs")
        problems.add(CONTEST, 0, told.format(size=in_thousands(size), most=in_thousands(MOST_OUTLINE)))
    return {name: data for name, data in files.items() if name in wanted}


def _from_folder(folder: Path, problems: Problems) -> dict[str, bytes]:
    files = {}
    left = MOST_BYTES
    for path in sorted(folder.iterdir()):
        if not path.is_file() or not _belongs(path.name, problems):
            continue
        try:
            with path.open("rb") as opened:
                data = opened.read(left + 1)
        except OSError as error:
            problems.add(path.name, 0, _("it cannot be read: {reason}").format(reason=error.strerror))
            continue
        left -= len(data)
        if left < 0:
            problems.add(path.name, 0, _too_large())
            return {}
        files[path.name] = data
    return files


def _from_zip(path: Path, zip_name: str, problems: Problems) -> dict[str, bytes]:
    try:
        with zipfile.ZipFile(path) as archive:
            return _from_archive(archive, zip_name, problems)
    except UNREADABLE_ZIP as error:
        problems.add(zip_name, 0, _("it is neither a folder nor a zip that can be read: {error}").format(error=error))
        return {}


def _from_archive(archive: zipfile.ZipFile, zip_name: str, problems: Problems) -> dict[str, bytes]:
    members = [info for info in archive.infolist() if info.filename and not info.is_dir()]
    if len(members) > MOST_MEMBERS:
        told = _("it holds {count} files; {most} is the most, far more than a contest book needs")
        problems.add(zip_name, 0, told.format(count=len(members), most=in_thousands(MOST_MEMBERS)))
        return {}
    outside = [info.filename for info in members if _leads_outside(info)]
    if outside:
        for name in outside:
            told = _("its member {name!r} would be written outside the book's folder; zip it again")
            problems.add(zip_name, 0, told.format(name=name))
        return {}
    members = [info for info in members if not _is_system_litter(info.filename)]
    homes = homes_in(archive)
    if len(homes) > 1:
        problems.add(zip_name, 0, _("it holds more than one contest.toml; zip one book at a time"))
        return {}
    home = homes.pop() if homes else PurePosixPath(".")
    files: dict[str, bytes] = {}
    left = MOST_BYTES
    for info in members:
        name = PurePosixPath(info.filename).name
        if PurePosixPath(info.filename).parent != home or not _belongs(name, problems):
            continue
        if name in files:
            problems.add(zip_name, 0, _("it holds {name} twice").format(name=name))
            continue
        with archive.open(info) as member:
            data = member.read(left + 1)  # the header's size is only a claim
        left -= len(data)
        if left < 0:
            problems.add(zip_name, 0, _too_large())
            return {}
        files[name] = data
    return files


def homes_in(archive: zipfile.ZipFile) -> set[PurePosixPath]:
    """The folders of a zip that are books: each holds a contest.toml."""
    paths = (PurePosixPath(name) for name in archive.namelist() if not _is_system_litter(name))
    return {path.parent for path in paths if path.name == CONTEST}


def _leads_outside(info: zipfile.ZipInfo) -> bool:
    name = info.filename.replace("\\", "/")
    path = PurePosixPath(name)
    is_link = stat.S_ISLNK(info.external_attr >> 16)
    return path.is_absolute() or ".." in path.parts or ":" in name or is_link


def _is_system_litter(name: str) -> bool:
    """Files that operating systems add to a zip by themselves."""
    return name.startswith("__MACOSX/") or PurePosixPath(name).name.startswith(".")


def _belongs(name: str, problems: Problems) -> bool:
    """Whether a file is the book's; a .csv that is nothing we know is probably one of its files, named wrongly."""
    if name in BOOK_FILES or name in PRACTICE_FILES:
        return True
    if name.lower().endswith(".csv") and name not in RESULT_FILES and not name.startswith("."):
        known = ", ".join(BOOK_FILES[1:])
        told = _("it is not a file of a contest book ({known}); rename it or move it out of the book")
        problems.add(name, 0, told.format(known=known))
    return False


def _too_large() -> str:
    told = _("the book unpacks to more than {most} MB, far more than a contest needs")
    return told.format(most=MOST_BYTES // 1024 // 1024)
