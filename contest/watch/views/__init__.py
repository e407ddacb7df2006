"""The pages of what is watched: progress, doubts, keys, and the history of one card or slip."""
