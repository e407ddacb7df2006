"""Where the contest's own picture is kept."""

from scoring.prints.pictures import drop_picture, keep_picture, picture_of


def test_a_contest_has_one_picture_or_none(tmp_path):
    keep_picture(tmp_path, 3, ".png", b"first")
    keep_picture(tmp_path, 3, ".svg", b"second")
    assert picture_of(tmp_path, 3).suffix == ".svg"
    assert [path.name for path in (tmp_path / "pictures").iterdir()] == ["3.svg"]
    drop_picture(tmp_path, 3)
    assert picture_of(tmp_path, 3) is None
