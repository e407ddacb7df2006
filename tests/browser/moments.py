"""What a page does within a moment, or before its scripts are there: shown however slow the machine is."""

from contextlib import contextmanager
from datetime import datetime, timedelta


def stopped(page):
    """The page, whose clock stands from now on and goes on by `page.clock.run_for` alone."""
    now = datetime.now()
    page.clock.install(time=now)
    page.clock.pause_at(now + timedelta(seconds=1))
    return page


@contextmanager
def still_loading(page, script):
    """Loads the page once more, and lets this script of it come only at the end of the block."""
    held = []
    page.route(f"**/js/{script}", lambda route: held.append(route))  # a method of a list is no handler
    with page.expect_request(f"**/js/{script}"):
        page.reload(wait_until="commit")
    yield
    held[0].continue_()
    page.unroute(f"**/js/{script}")
