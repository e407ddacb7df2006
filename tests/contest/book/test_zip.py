"""Books as a zip: read like a folder, and never trusted."""

from __future__ import annotations

import io
import stat
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from contest.book import BookProblems, files, read_book
from tests.contest.book.books import MINIMAL, SOUND, lay_out, problems_of


def zipped(path: Path, members: Mapping[str, str | bytes], compression: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(path, "w", compression) as archive:
        for name, content in members.items():
            archive.writestr(zipfile.ZipInfo(name), content, compression)
    return path


def listing(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


@pytest.mark.parametrize("compression", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_reads_as_its_folder(tmp_path: Path, compression: int) -> None:
    folder = lay_out(tmp_path / "book", SOUND)
    assert read_book(zipped(tmp_path / "book.zip", SOUND, compression)) == read_book(folder)


ACCEPTED = {
    "in one folder": {f"fall/{name}": text for name, text in SOUND.items()},
    "in two folders": {f"contests/fall/{name}": text for name, text in SOUND.items()},
    "with the folder's own entry": {"fall/": "", **{f"fall/{name}": text for name, text in SOUND.items()}},
    "with what macOS adds": {
        **{f"fall/{name}": text for name, text in SOUND.items()},
        **{f"__MACOSX/fall/._{name}": b"\x00\x05\x16\x07" for name in SOUND},
        "fall/.DS_Store": b"\x00\x00\x00\x01Bud1",
    },
    "with its results beside it": {
        **SOUND,
        "individuals.csv": "x",
        "teams.csv": "x",
        "scores.csv": "",
        "notes.txt": "",
    },
    "with files of another folder": {**SOUND, "photos/list.csv": "x", "photos/entries.csv": "nonsense"},
    "named with a leading dot folder": {f"./{name}": text for name, text in SOUND.items()},
}


@pytest.mark.parametrize("how", ACCEPTED)
def test_what_computers_add_to_a_zip_does_no_harm(tmp_path: Path, how: str) -> None:
    folder = lay_out(tmp_path / "book", SOUND)
    assert read_book(zipped(tmp_path / "book.zip", ACCEPTED[how])) == read_book(folder)


@pytest.mark.parametrize(
    "name",
    [
        "../entries.csv",
        "../../../../etc/cron.d/entries",
        "fall/../../entries.csv",
        "/entries.csv",
        "/etc/passwd",
        "..\\entries.csv",
        "fall\\..\\..\\entries.csv",
        "\\entries.csv",
        "\\\\server\\share\\entries.csv",
        "C:\\entries.csv",
        "C:/entries.csv",
        "C:entries.csv",
        "entries.csv:hidden",
        "..",
    ],
)
def test_a_member_that_leads_outside_is_refused_and_nothing_is_written(tmp_path: Path, name: str) -> None:
    path = zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, name: "x"})
    before = listing(tmp_path)
    (only,) = problems_of(path)
    assert only[:2] == ("book.zip", 0)
    assert f"{name!r} would be written outside" in only[2]
    assert listing(tmp_path) == before


def test_a_link_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "book.zip"
    link = zipfile.ZipInfo("entries.csv")
    link.create_system = 3
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("contest.toml", MINIMAL)
        archive.writestr(link, "/etc/passwd")
    (only,) = problems_of(path)
    assert "'entries.csv' would be written outside" in only[2]


def test_a_small_zip_that_unpacks_to_a_huge_size_is_refused(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 1024 * 1024)
    path = zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, "entries.csv": b"0" * 4 * 1024 * 1024})
    assert path.stat().st_size < 20_000
    (only,) = problems_of(path)
    assert only[:2] == ("book.zip", 0)
    assert "unpacks to more than 1 MB" in only[2]


def test_files_that_are_only_together_too_large_are_refused(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 1024 * 1024)
    halves = {"entries.csv": b"0" * 600_000, "cards.csv": b"0" * 600_000}
    for path in (zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, **halves}), lay_out(tmp_path / "b", halves)):
        assert any("unpacks to more than 1 MB" in found[2] for found in problems_of(path))


def test_a_zip_that_lies_about_its_size_is_refused(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 1024 * 1024)
    path = zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, "entries.csv": b"0" * 4 * 1024 * 1024})
    data = path.read_bytes().replace((4 * 1024 * 1024).to_bytes(4, "little"), (100).to_bytes(4, "little"))
    path.write_bytes(data)
    assert problems_of(path)[0][0] == "book.zip"


def test_a_bomb_is_never_unpacked_further_than_the_limit(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 1024 * 1024)
    asked: list[int] = []
    read = zipfile.ZipExtFile.read

    def watched(member, n=-1):
        asked.append(n)
        return read(member, n)

    monkeypatch.setattr(zipfile.ZipExtFile, "read", watched)
    problems_of(zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, "cards.csv": b"0" * 8 * 1024 * 1024}))
    assert asked and all(0 <= size <= 1024 * 1024 + 1 for size in asked)


def test_a_zip_of_very_many_files_is_refused(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(files, "MOST_MEMBERS", 20)
    path = zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, **{f"{n}.txt": "" for n in range(20)}})
    assert "it holds 21 files" in problems_of(path)[0][2]


def broken(path: Path, how: str) -> Path:
    zipped(path, SOUND, zipfile.ZIP_LZMA if how == "its packed bytes damaged (LZMA)" else zipfile.ZIP_DEFLATED)
    data = path.read_bytes()
    if how == "cut off":
        data = data[: len(data) // 2]
    elif how == "empty":
        data = b""
    elif how == "no zip":
        data = b"number,division\n1,SR\n"
    elif how.startswith("its packed bytes damaged"):
        with zipfile.ZipFile(path) as archive:
            start = archive.getinfo("entries.csv").header_offset + 30 + len("entries.csv")
        start += 20 if "LZMA" in how else 0  # its first bytes are a header
        data = data[:start] + b"\xff" * 12 + data[start + 12 :]
    elif how == "its checksum wrong":
        with zipfile.ZipFile(path) as archive:
            checksum = archive.getinfo("entries.csv").CRC.to_bytes(4, "little")
        data = data.replace(checksum, b"\x00\x00\x00\x00")
    elif how == "asking for a password":
        # Bit 0 of the flags, in the local headers and in the directory.
        data = data.replace(b"PK\x03\x04\x14\x00\x00", b"PK\x03\x04\x14\x00\x01")
        data = data.replace(b"PK\x01\x02\x14\x03\x14\x00\x00", b"PK\x01\x02\x14\x03\x14\x00\x01")
    elif how == "packed in an unknown way":
        data = data.replace(b"\x14\x00\x00\x00\x08\x00", b"\x14\x00\x00\x00\x63\x00")
    assert how == "empty" or data != path.read_bytes()
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    "how",
    [
        "cut off",
        "empty",
        "no zip",
        "its packed bytes damaged",
        "its packed bytes damaged (LZMA)",
        "its checksum wrong",
        "asking for a password",
        "packed in an unknown way",
    ],
)
def test_a_broken_zip_is_a_problem_like_any_other(tmp_path: Path, how: str) -> None:
    (only,) = problems_of(broken(tmp_path / "book.zip", how))
    assert only[:2] == ("book.zip", 0)
    assert "neither a folder nor a zip that can be read" in only[2]


REFUSED = [
    ({"a/contest.toml": MINIMAL, "b/contest.toml": MINIMAL}, "more than one contest.toml"),
    ({"contest.toml": MINIMAL, "b/contest.toml": MINIMAL}, "more than one contest.toml"),
    ({"entries.csv": SOUND["entries.csv"]}, "it holds no contest.toml"),
    ({"fall/Contest.TOML": MINIMAL}, "it holds no contest.toml"),
    ({}, "it holds no contest.toml"),
]


@pytest.mark.parametrize(("members", "reason"), REFUSED)
def test_a_zip_must_hold_exactly_one_book(tmp_path: Path, members, reason) -> None:
    (only,) = problems_of(zipped(tmp_path / "book.zip", members))
    assert (Path(only[0]).name, only[1]) == ("book.zip", 0)
    assert reason in only[2]


def test_a_member_without_a_name_is_read_over_or_refused(tmp_path: Path) -> None:
    path = zipped(tmp_path / "book.zip", {"contest.toml": MINIMAL, "x": ""}, zipfile.ZIP_STORED)
    with zipfile.ZipFile(path) as archive:
        unnamed = archive.getinfo("x").header_offset
    data = path.read_bytes()
    # Without its one letter, in the local header and in the directory.
    local = data[unnamed : unnamed + 26] + b"\x00\x00" + data[unnamed + 28 : unnamed + 30]
    directory = data.rindex(b"PK\x01\x02")
    entry = data[directory : directory + 28] + b"\x00\x00" + data[directory + 30 : directory + 46]
    rest = data[unnamed + 31 : directory] + entry + data[directory + 47 :]
    data = bytearray(data[:unnamed] + local + rest)
    end = data.rindex(b"PK\x05\x06")
    start = data.index(b"PK\x01\x02")
    data[end + 12 : end + 20] = (end - start).to_bytes(4, "little") + start.to_bytes(4, "little")
    path.write_bytes(bytes(data))
    with zipfile.ZipFile(path) as archive:
        assert archive.namelist() == ["contest.toml", ""]
    try:
        assert read_book(path).rules.name == "Small"
    except BookProblems as caught:
        assert caught.problems


@pytest.mark.filterwarnings("ignore:Duplicate name:UserWarning")
def test_a_file_that_is_in_the_zip_twice_is_refused(tmp_path: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name in ("contest.toml", "entries.csv", "entries.csv"):
            archive.writestr(name, SOUND[name])
    (tmp_path / "book.zip").write_bytes(packed.getvalue())
    assert ("book.zip", 0, "it holds entries.csv twice") in problems_of(tmp_path / "book.zip")


def test_a_zip_is_known_by_its_content_whatever_its_name(tmp_path: Path) -> None:
    assert read_book(zipped(tmp_path / "book", {"contest.toml": MINIMAL})).rules.name == "Small"
