"""Counting what somebody has to do on the pages to get one thing done."""

from contextlib import contextmanager

COUNTED = []
"""The walks that were counted, as `pytest` prints them at the end."""


class Walk:
    """Somebody's way through pages. An action is a click, a field filled, or a key such as Enter that stands for a
    click; presses are single keys and clicks, so that a field filled costs one for each letter."""

    def __init__(self):
        self.actions = self.presses = 0

    def click(self, locator):
        locator.click()
        self._count()

    def fill(self, locator, text):
        locator.fill(text)
        self._count(len(text))

    def choose(self, locator, option):
        locator.select_option(option)
        self._count()

    def type(self, page, text):
        """Fills the field that has the focus by itself."""
        page.keyboard.type(text)
        self._count(len(text))

    def press(self, page, key):
        page.keyboard.press(key)
        self._count()

    def _count(self, presses=1):
        self.actions += 1
        self.presses += presses


@contextmanager
def walk(what, actions=None, presses=None):
    """Counts a walk, which must not take more than so many actions, or presses."""
    counted = Walk()
    yield counted
    COUNTED.append(f"{what}: {counted.actions} actions, {counted.presses} presses")
    assert actions is None or counted.actions <= actions, COUNTED[-1]
    assert presses is None or counted.presses <= presses, COUNTED[-1]
