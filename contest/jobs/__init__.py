"""Jobs: what waits in line, such as papers to print and pages to read, and whoever works on it beside the desks.

A kind of job is a `Line` over a table of its own: its rows wait, run and end. Whoever orders one writes the row; a
thread of a serving process, or of `manage.py work`, takes them one after another and has each made by a child process
(`contest.background`). It is the same on both databases: on SQLite one process serves, and holds in its memory what it
works on; on PostgreSQL any number do, on any machine, and an advisory lock says who works on what (`holding`), so that
a job whose worker ended, however that came, goes into the line again. `keeping` looks after the lines of a process.
"""

from contest.jobs.keeping import keep_going
from contest.jobs.line import Attempt, Line

__all__ = ["Attempt", "Line", "keep_going"]
