"""What the disk and the database file say: room, trouble, damage, and which data folder belongs to which database."""
