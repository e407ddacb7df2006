"""The superintendent's pages of results, and those that are open to all."""
