"""Helpers: who is let in, by which code, with which duty, and who sits where."""
