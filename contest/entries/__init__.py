"""Who competes: entries, numbers, groups and check-in."""
