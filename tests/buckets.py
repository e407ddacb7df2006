"""A store without paths, for as long as a test runs."""

from django.core.files.storage import InMemoryStorage


class Bucket(InMemoryStorage):
    """It keeps a name anew in place of what it was, as a bucket does."""

    def get_available_name(self, name, max_length=None):
        return name

    def _save(self, name, content):
        if self.exists(name):
            self.delete(name)
        return super()._save(name, content)
