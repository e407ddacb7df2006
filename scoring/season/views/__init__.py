"""The coach’s pages of a season."""
