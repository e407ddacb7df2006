"""What happens to processes and hosts while everybody works."""

from __future__ import annotations

import time
from collections.abc import Callable

from tests.faults.several.hosts import BACK, FRONT, Network
from tests.faults.several.processes import Process
from tests.faults.several.site import Site

A_MOMENT, LONG = (0.5, 5.0), (15.0, 30.0)
"""Seconds for which a wire is cut, at least and at most: until nobody has noticed, and until PostgreSQL has."""


class Troubles:
    """`pause`: seconds between one that is over and the next, at least and at most."""

    def __init__(self, site: Site, pause: tuple[float, float], network: Network | None) -> None:
        self.site, self.rng, self.pause = site, site.rng, pause
        self.kinds: dict[str, Callable[[], None]] = {
            "serve": lambda: self.kill(self.rng.choice(site.servers)),
            "serving process": lambda: self.rng.choice(site.servers).kill(only_child=True),
            "work": lambda: self.kill(self.rng.choice(site.workers)),
        }
        if network:
            for what, seconds in {"a moment": A_MOMENT, "long": LONG}.items():
                self.kinds |= self.cuts(network, what, seconds)

    def go_on(self, seconds: float) -> None:
        """Each kind once, in any order, and then any."""
        begun = time.monotonic()
        first = self.rng.sample(sorted(self.kinds), len(self.kinds))
        while first or time.monotonic() < begun + seconds:
            time.sleep(self.rng.uniform(*self.pause))
            kind = first.pop() if first else self.rng.choice(sorted(self.kinds))
            self.site.counts.troubles[kind] += 1
            at = time.monotonic()
            self.kinds[kind]()
            self.site.wait_until_ready(self.site.processes)
            print(f"{at - begun:.0f} s: {kind}, over after {time.monotonic() - at:.1f} s", flush=True)
            self.site.send_back()

    def kill(self, process: Process) -> None:
        self._send_elsewhere(process)
        process.kill()
        time.sleep(self.rng.uniform(0, 2))
        process.start()

    def _send_elsewhere(self, process: Process) -> None:
        if process in self.site.servers:
            self.site.send_elsewhere(process)

    def cuts(self, network: Network, what: str, seconds: tuple[float, float]) -> dict[str, Callable[[], None]]:
        servers, workers, choice = self.site.servers, self.site.workers, self.rng.choice

        def cut(process: Process, *networks: str, noticed: bool = True, power: bool = True) -> None:
            with network.cut(process.host.name, networks):
                if not power:
                    process.kill()
                    network.forget_connections(process.host.name)
                time.sleep(self.rng.uniform(0, 2))
                if noticed:
                    self._send_elsewhere(process)
                time.sleep(self.rng.uniform(*seconds))
            back = time.monotonic()
            if not power:
                process.start()
            self.site.wait_until_ready([process])
            if power:
                self.site.counts.longest_back = max(self.site.counts.longest_back, time.monotonic() - back)

        return {
            f"serve cut off for {what}": lambda: cut(choice(servers), FRONT, BACK),
            f"serve cut off from PostgreSQL alone for {what}": lambda: cut(
                choice(servers), BACK, noticed=self.rng.random() < 0.5
            ),
            f"work cut off for {what}": lambda: cut(choice(workers), BACK),
            f"host of a serve without power for {what}": lambda: cut(choice(servers), FRONT, BACK, power=False),
            f"host of a work without power for {what}": lambda: cut(choice(workers), BACK, power=False),
        }
