"""The pages of the print shop."""
