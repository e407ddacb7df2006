"""Who gets a thread next."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from contest.serving.channels import Channel

IsHeavy = Callable[[str, str], bool]
"""Says of a method and a path whether that page takes long."""


class FairQueue:
    """Whoever waits; the addresses take turns, so that a device that asks without rest waits for itself."""

    def __init__(self) -> None:
        self.by_address: dict[str, deque[Channel]] = {}

    def append(self, channel: Channel) -> None:
        self.by_address.setdefault(channel.addr[0], deque()).append(channel)

    def popleft(self) -> Channel:
        address = next(iter(self.by_address))
        waiting = self.by_address.pop(address)
        channel = waiting.popleft()
        if waiting:
            self.by_address[address] = waiting  # behind all others
        return channel

    def __len__(self) -> int:
        return sum(map(len, self.by_address.values()))


class Turns:
    """The queue of the server: pages that take long are made one at a time and hold no thread while they wait.

    It stands where waitress has a deque of channels, and does as much of one as waitress uses, under its lock: it is
    empty for a thread that asks while only such pages wait for the one under way.
    """

    def __init__(self, is_heavy: IsHeavy) -> None:
        self.is_heavy = is_heavy
        self.light, self.heavy = FairQueue(), FairQueue()
        self.heavy_under_way = False

    def append(self, channel: Channel) -> None:
        request = channel.requests[0]
        is_heavy = not request.error and self.is_heavy(request.command, request.path)
        (self.heavy if is_heavy else self.light).append(channel)

    def popleft(self) -> Channel:
        if self.heavy and not self.heavy_under_way:
            channel = self.heavy.popleft()
            self.heavy_under_way = channel.is_heavy = True
            return channel
        channel = self.light.popleft()
        channel.is_heavy = False
        return channel

    def __len__(self) -> int:
        return len(self.light) + (0 if self.heavy_under_way else len(self.heavy))
