"""Static files are collected when they changed."""

import os

from contest.serving.static import collect_static


def test_static_files_are_collected_only_when_one_changed(settings, tmp_path):
    source = tmp_path / "source"
    source.mkdir()
    (source / "a.css").write_text("a {}")
    settings.STATICFILES_DIRS = [source]
    settings.STATIC_ROOT = tmp_path / "collected"
    assert collect_static()
    assert not collect_static()
    os.utime(source / "a.css", (0, 0))
    assert not collect_static(), "the times of files are not those of an image's or a clone's"
    (source / "a.css").write_text("b {}")
    assert collect_static(), "of the same length"
    (source / "a.css").write_text("a { color: red }")
    assert collect_static()
    assert (settings.STATIC_ROOT / "a.css").read_text() == "a { color: red }"
    (source / "a.css").unlink()
    assert collect_static()
    assert not (settings.STATIC_ROOT / "a.css").exists()
