"""What a season of contests and practices says of one member. Pure."""
