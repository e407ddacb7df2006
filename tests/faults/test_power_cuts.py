"""The power goes while three helpers read cards; the file system keeps what it was told to, and no more."""

import random

from tests.faults.hall import a_hall, free_port, look_into
from tests.faults.power import cut_again_and_again, damage


def test_what_was_acknowledged_survives_every_cut(tmp_path):
    cut = cut_again_and_again(tmp_path / "data", 40)
    print(cut)
    assert cut.acknowledged >= 40
    assert (cut.lost, cut.torn, cut.not_ok) == (0, 0, 0), cut


def test_a_cut_before_what_was_flushed_would_be_seen(tmp_path):
    """The control: if the log had not been flushed, readings would be missing, and this would find them missing."""
    with a_hall(tmp_path / "data", free_port(), contestants=60) as hall:
        hall.start()
        with hall.reading_on(random.Random(1)):
            for _ in range(5):
                hall.wait_for_an_answer()
        hall.kill()
        log = hall.folder / "db.sqlite3-wal"
        damage(log, 32 + 4120, "dropped", random.Random(1))
        assert look_into(hall.database, hall.acknowledged).lost > 0
