"""What `up` says where a newer version cannot begin."""

import pytest

from contest.copies.files import CopyFailed
from contest.health import start


def test_without_room_for_a_copy_it_says_what_to_do(monkeypatch, settings, tmp_path):
    """A newer version copies the database before it changes it."""

    def no_room(*_shelf, **_besides):
        raise CopyFailed("/copies has 40 MB left; a copy needs 130 MB")

    settings.DATA_FOLDER = tmp_path
    monkeypatch.setattr(start, "known_migrations", set)
    monkeypatch.setattr(start, "look_at_database", lambda *_known: True)
    monkeypatch.setattr(start, "_look_at_server", lambda *_known: True)
    monkeypatch.setattr(start, "make_copy", no_room)
    with pytest.raises(start.NotAsItWas) as told:
        start.look_at_data(print)
    text = str(told.value)
    assert "/copies has 40 MB left; a copy needs 130 MB\nNothing was changed.\nMake room there" in text
    assert f'manage.py up --copies DIR --data "{tmp_path}"' in text
