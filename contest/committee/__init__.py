"""Committees: who sits on which, and what each official hands in alone."""
