"""The public screen, and the ceremony that it follows."""
