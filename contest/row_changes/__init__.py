"""What each row was before a change: the tables that are kept, the triggers that write it, the stamp of the change."""
