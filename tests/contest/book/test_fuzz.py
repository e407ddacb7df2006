"""Damaged books: whatever the bytes, the reader either reads them or says what is wrong, and never falls over."""

from __future__ import annotations

import tempfile
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_LZMA, ZIP_STORED

from hypothesis import given, settings
from hypothesis import strategies as st

from contest.book import BookProblems, read_book, write_book
from scoring.core.tally import tally
from tests.contest.book.books import SOUND, lay_out
from tests.contest.book.test_zip import zipped

NASTY = (b"\x00", b"\xff", b'"', b"'", b",", b";", b"\t", b"\r", b"\n", b"[", b"]]", b"=", b"#", b"-", b"{", b".")
NASTY += (b"\xef\xbb\xbf", b'"""', b"\\", b"9" * 30, b"1e999", b"nan", b"inf", b"true", b"\xe2\x80\xa8", b"\xc2\x85")


@st.composite
def damaged(draw, data: bytes) -> bytes:
    """The bytes with a few places overwritten, cut out, doubled or filled with something nasty."""
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        length = draw(st.sampled_from((0, 1, 1, 2, 5, 40)))
        piece = draw(
            st.one_of(st.sampled_from(NASTY), st.binary(max_size=4), st.just(data[start : start + length] * 2))
        )
        data = data[:start] + piece + data[start + length :]
    return data


def read_or_be_told(path: Path) -> None:
    try:
        record = read_book(path)
    except BookProblems as problems:
        assert problems.problems
        assert all(problem.reason and problem.line >= 0 for problem in problems.problems)
        return
    # What the reader lets through is sound: it can be scored, and written and read again.
    tally(record)
    write_book(record, path.parent / "again")
    assert read_book(path.parent / "again") == record


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(sorted(SOUND)), st.data())
def test_a_book_with_one_damaged_file_is_read_or_refused(name: str, data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        broken = data.draw(damaged(SOUND[name].encode()))
        read_or_be_told(lay_out(Path(scratch) / "book", {**SOUND, name: broken}))


@settings(max_examples=200, deadline=None)
@given(st.sampled_from((ZIP_DEFLATED, ZIP_STORED, ZIP_LZMA)), st.data())
def test_a_damaged_zip_is_read_or_refused(compression: int, data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        path = zipped(Path(scratch) / "book.zip", SOUND, compression)
        path.write_bytes(data.draw(damaged(path.read_bytes())))
        read_or_be_told(path)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(SOUND)), st.binary(max_size=60))
def test_a_file_of_any_bytes_is_read_or_refused(name: str, content: bytes) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        read_or_be_told(lay_out(Path(scratch) / "book", {**SOUND, name: content}))
