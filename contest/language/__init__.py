"""The language in which somebody is told things: their browser's, or the one they chose."""
