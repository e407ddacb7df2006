"""Kill the server again and again at random moments while cards are read."""

from __future__ import annotations

import random
import time
from dataclasses import dataclass
from pathlib import Path

from tests.faults.hall import Found, a_hall, free_port, look_into

LONGEST = 0.5  # seconds of reading until the next kill


@dataclass(frozen=True)
class Killed:
    kills: int
    acknowledged: int
    sent_again: int
    worst: Found
    last: Found

    def __str__(self) -> str:
        worst = self.worst
        return (
            f"kill -9: {self.kills} kills, {self.acknowledged} readings acknowledged, {self.sent_again} sent again; "
            f"lost {worst.lost}, twice {worst.twice}, torn {worst.torn}, quick_check {worst.check}"
        )


def kill_again_and_again(
    folder: Path, kills: int, seed: int = 1, contestants: int = 300, look_every: int = 1
) -> Killed:
    """Kill it `kills` times; after each `look_every`th, and at the end, hold the database against what was answered."""
    rng = random.Random(seed)
    worst = None
    with a_hall(folder, free_port(), contestants) as hall:
        hall.start()
        with hall.reading_on(rng):
            for kill in range(1, kills + 1):
                hall.wait_for_an_answer()
                time.sleep(rng.random() * LONGEST)
                hall.kill()
                if kill % look_every == 0:
                    found = look_into(hall.database, dict(hall.acknowledged))
                    worst = found if worst is None or not found.is_whole else worst
                hall.start()
        last = look_into(hall.database, hall.acknowledged)
        return Killed(
            kills, len(hall.acknowledged), hall.sent_again, last if worst is None or worst.is_whole else worst, last
        )
