"""What days of several contests show and are told."""
