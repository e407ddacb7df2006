"""One module for each document, or for a few that are made of the same things."""
