"""Who goes on from a contest to the next level, and the file of their entries."""
