"""The texts that people read: found in the code, kept for translators, and spoken in a language made up for tests."""
