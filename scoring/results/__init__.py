"""From scores to results: what is still open, the release, its corrections, and what the crowd may see of it."""
