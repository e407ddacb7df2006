"""The club’s library of practices, to be practised again."""
