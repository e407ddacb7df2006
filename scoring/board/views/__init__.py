"""The board, the announcer's page, and how names are said."""
