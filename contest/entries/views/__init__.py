"""The pages about entries: one file for each."""
