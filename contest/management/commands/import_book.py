"""`manage.py import_book`: make a contest in the database of a book."""

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command

from contest import serving
from contest.book import BookProblems, read_book
from contest.management.messages import contest_label, problems_text
from contest.records import save_record


class Command(BaseCommand):
    help = "Make a new contest of a contest book. What is in the database already stays as it is."

    def add_arguments(self, parser):
        parser.add_argument("book", help="the book's folder, or a .zip of it")
        parser.add_argument("--by", default="terminal", help="who imports it, for the trail")

    def handle(self, *, book, by, verbosity, **options):
        try:
            record = read_book(book)
        except BookProblems as problems:
            raise CommandError(problems_text(book, problems), returncode=2) from None
        serving.prepare_data_folder(settings.DATA_FOLDER)
        call_command("migrate", interactive=False, verbosity=0)
        contest = save_record(record, by)
        if verbosity:
            self.stdout.write(contest_label(contest))
