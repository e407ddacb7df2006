"""The pages on which a contest is made and set up."""
