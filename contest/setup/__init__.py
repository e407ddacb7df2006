"""Setting a contest up: its rules, divisions, categories, classes, parts and tie orders."""
