"""Released results as files that a web server hands out by itself, at the addresses where the site shows them too."""
