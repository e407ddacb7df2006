"""Names of people, and letting go of them when a contest is over."""
