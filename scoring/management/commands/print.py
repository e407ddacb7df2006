"""`manage.py print CONTEST DOCUMENT --out FILE.pdf`: any document of the print shop, without a browser."""

from argparse import RawDescriptionHelpFormatter
from pathlib import Path

from django.core.management import BaseCommand, CommandError
from django.core.management.base import DjangoHelpFormatter

from contest.management.messages import looking_for_contest
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import KINDS, LABELS, MOST_SHIFT, PAPERS, Choice, WrongChoice
from scoring.prints.loading import load_material
from scoring.prints.rendering import CannotRender, html_of, render_pdf


class Lines(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Keeps the list of documents a list."""


class Command(BaseCommand):
    help = "Print a document of a contest to a PDF file. The documents:\n\n" + "\n".join(
        f"  {document.name:<15}{document.about}" for document in DOCUMENTS.values()
    )

    def create_parser(self, prog_name, subcommand, **kwargs):
        return super().create_parser(prog_name, subcommand, formatter_class=Lines, **kwargs)

    def add_arguments(self, parser):
        parser.add_argument("contest", type=int, help="the contest's number in this database")
        parser.add_argument("document", choices=DOCUMENTS, metavar="document", help="one of the names above")
        parser.add_argument(
            "--out", required=True, metavar="FILE.pdf", help="the file to write; .html needs no PDF library"
        )
        parser.add_argument(
            "--list", action="append", default=[], metavar="LIST", help="such as SR/overall; may be repeated"
        )
        parser.add_argument(
            "--of", action="append", default=[], choices=KINDS, help="contestants' lists or teams' alone"
        )
        parser.add_argument(
            "--class",
            dest="classes",
            action="append",
            type=int,
            default=[],
            metavar="NUMBER",
            help="only this class; may be repeated",
        )
        parser.add_argument(
            "--number", action="append", type=int, default=[], help="only this contestant; may be repeated"
        )
        parser.add_argument("--paper", choices=PAPERS, default="a4")
        parser.add_argument("--order", default="", help="the order of the document; its name is checked")
        parser.add_argument("--places", type=int, default=0, help="how many places get an award")
        parser.add_argument("--copies", type=int, default=1)
        parser.add_argument("--labels", choices=LABELS, default="", help="the sheet of labels")
        parser.add_argument("--skip", type=int, default=0, help="labels that are used up on the first sheet")
        shifts = range(-MOST_SHIFT, MOST_SHIFT + 1)
        parser.add_argument(
            "--right", type=int, default=0, choices=shifts, metavar="MM", help="move what stands on labels, -5 to 5"
        )
        parser.add_argument("--down", type=int, default=0, choices=shifts, metavar="MM", help="the same, downwards")
        parser.add_argument("--address", default="", help="how other devices reach this laptop, for the join sheet")

    def handle(self, *, contest, document, out, **options):
        wanted = DOCUMENTS[document]
        if options["order"] and options["order"] not in wanted.orders:
            known = ", ".join(wanted.orders) or "no choice of order"
            raise CommandError(f"{document} has {known}, not {options['order']}")
        choice = Choice(
            paper=options["paper"],
            lists=tuple(options["list"]),
            kinds=tuple(options["of"]),
            classes=tuple(options["classes"]),
            numbers=tuple(options["number"]),
            order=options["order"],
            places=max(0, options["places"]),
            copies=max(1, options["copies"]),
            labels=options["labels"],
            skip=max(0, options["skip"]),
            right=options["right"],
            down=options["down"],
            address=options["address"],
        )
        with looking_for_contest(contest):
            material = load_material(contest, wanted.needs, choice.address)
        try:
            html, _ = html_of(wanted, material, choice)
            made = html.encode() if out.endswith(".html") else render_pdf(html, choice.copies, material.picture)
            Path(out).write_bytes(made)
        except (WrongChoice, CannotRender) as problem:
            raise CommandError(str(problem)) from None
        except OSError as error:
            raise CommandError(f"{out}: the file cannot be written there: {error.strerror}") from None
        self.stdout.write(f"{wanted.title} of {material.record.rules.name} written to {out}")
