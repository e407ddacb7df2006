"""The pages of the day of the reasons."""
