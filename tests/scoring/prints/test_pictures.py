"""Where the contest's own picture is kept."""

from contest import kept
from scoring.prints.pictures import drop_picture, keep_picture, picture_at, picture_of


def test_a_contest_has_one_picture_or_none(in_a_bucket):
    keep_picture(3, ".png", b"first")
    keep_picture(3, ".svg", b"second")
    assert picture_of(3) == "pictures/3.svg"
    assert kept.names_in("pictures") == ["pictures/3.svg"]
    assert picture_at(3).read_bytes() == b"second"  # on a disk, for whoever lays papers out
    drop_picture(3)
    assert picture_of(3) is None
