"""Pages of practices: the coach's, the screen's, and the members' own."""
