"""The trail: every change is written down with who made it, in chains that the database keeps and that prove."""

from contest.trail.hashing import Personal
from contest.trail.recording import note, record_change
from contest.trail.sentences import sentence

__all__ = ["Personal", "note", "record_change", "sentence"]
