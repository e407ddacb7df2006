"""The contests, one contest, and one of its classes, as whoever works on them finds them first."""
