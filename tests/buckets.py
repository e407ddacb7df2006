"""A store without paths, for as long as a test runs."""

from django.core.files.storage import InMemoryStorage, Storage


class Bucket(Storage):
    """It keeps a name anew in place of what it was, as a bucket does, and nothing in it has a path."""

    def __init__(self):
        self.files = InMemoryStorage()

    def get_available_name(self, name, max_length=None):
        return name

    def _open(self, name, mode="rb"):
        return self.files.open(name, mode)

    def _save(self, name, content):
        self.files.delete(name)
        return self.files.save(name, content)

    def delete(self, name):
        self.files.delete(name)

    def exists(self, name):
        return self.files.exists(name)

    def listdir(self, path):
        return self.files.listdir(path)

    def get_modified_time(self, name):
        return self.files.get_modified_time(name)
