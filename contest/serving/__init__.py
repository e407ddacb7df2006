"""What `up` needs to serve a contest: addresses, static files, the server, and the process that it runs in."""


class CannotServe(Exception):
    """Says what is in the way and how to mend it."""
