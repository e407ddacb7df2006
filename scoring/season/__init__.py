"""A club's season: its members followed through contests and practices, with their consent."""
