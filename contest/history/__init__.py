"""What a contest was before each change: kept by the database, read to look back and to take back."""
