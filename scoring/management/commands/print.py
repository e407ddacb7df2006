"""`manage.py print CONTEST DOCUMENT --out FILE.pdf`: any document of the print shop, without a browser."""

from argparse import ArgumentTypeError, RawDescriptionHelpFormatter
from collections.abc import Callable
from pathlib import Path
from textwrap import fill
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.core.management.base import DjangoHelpFormatter

from contest.management.messages import looking_for_contest
from contest.trail.noting import note_at_terminal
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import (
    KINDS,
    LABELS,
    MOST_COPIES,
    MOST_PLACES,
    MOST_SHIFT,
    PAPERS,
    Choice,
    WrongChoice,
    choice_from,
)
from scoring.prints.document import Document
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import CannotRender, html_of, render_pdf

# The options that only some documents look at, and what of a choice they are.
ASKS = {
    "list": "lists",
    "of": "kinds",
    "class": "classes",
    "number": "numbers",
    "places": "places",
    "labels": "labels",
    "skip": "skip",
    "right": "right",
    "down": "down",
    "address": "address",
}


class Lines(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Keeps the list of documents a list."""


def in_help(document: Document) -> str:
    """A document as the help lists it."""
    orders = f" In the order of {', '.join(document.orders)}." if document.orders else ""
    return fill(document.about + orders, 100, initial_indent=f"  {document.name:<17}", subsequent_indent=" " * 19)


def whole(least: int, most: int) -> Callable[[str], int]:
    """An argument's type: a whole number of that range."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdecimal() and least <= int(text) <= most):
            raise ArgumentTypeError(f"{text!r} is no whole number from {least} to {most}")
        return int(text)

    return read


class Command(BaseCommand):
    help = "Print a document of a contest to a PDF file. The documents:\n\n" + "\n".join(
        map(in_help, DOCUMENTS.values())
    )

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(prog_name, subcommand, formatter_class=Lines, **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        add = parser.add_argument
        add("contest", type=int, help="the contest's number in this database")
        add("document", choices=DOCUMENTS, metavar="document", help="one of the names above")
        add(
            "--out",
            required=True,
            metavar="FILE.pdf",
            help="the file to write, in place of one that is there; FILE.html needs no PDF library",
        )
        add("--list", action="append", metavar="LIST", help="such as SR/overall; may be repeated")
        add("--of", action="append", choices=KINDS, help="contestants' lists or teams' alone")
        add("--class", action="append", type=int, metavar="NUMBER", help="only this class; may be repeated")
        add("--number", action="append", type=int, help="only this contestant; may be repeated")
        add("--paper", choices=PAPERS, default="a4", help="a4 where it is not said")
        add("--order", default="", help="one of the orders above; the first where it is not said")
        add("--places", type=whole(1, MOST_PLACES), help="how many places of each list get an award")
        add("--copies", type=whole(1, MOST_COPIES), default=1)
        add("--labels", choices=LABELS, help="the sheet of labels")
        add("--skip", type=whole(0, 29), help="labels that are used up on the first sheet")
        shifts = range(-MOST_SHIFT, MOST_SHIFT + 1)
        add("--right", type=int, choices=shifts, metavar="MM", help="move what stands on labels, -5 to 5")
        add("--down", type=int, choices=shifts, metavar="MM", help="the same, downwards")
        add("--address", help="how other devices reach this laptop, for the join sheet")

    def handle(self, *, contest: int, document: str, out: str, **options: Any) -> None:
        wanted, path = DOCUMENTS[document], Path(out)
        if path.suffix not in (".pdf", ".html"):
            raise CommandError(f"{out}: give the file a name that ends in .pdf or .html")
        choice = self.choice(wanted, options)
        try:
            with looking_for_contest(contest):
                material = gather_material(contest, wanted, choice.address)
            html, pages = html_of(wanted, material, choice)
            if path.suffix == ".html":
                made = html.encode()
            else:
                made = render_pdf(html, choice.copies, material.picture, self.progress(pages), pages)
            put_in_place(path, made)
        except WrongChoice as problem:
            raise CommandError(str(problem)) from None
        except CannotRender as problem:
            raise CommandError(f"{problem}; --out FILE.html makes a page to print from a browser") from None
        except OSError as error:
            raise CommandError(f"{out}: the file cannot be written there: {error.strerror}") from None
        note_at_terminal(f"print written to a file: {document}", contest)
        self.stdout.write(f"{wanted.title} of {material.record.rules.name} written to {out}")

    def choice(self, document: Document, options: dict[str, Any]) -> Choice:
        """What the options choose. Refuses what the document would not look at: it would print something else."""
        options_given = {name: options[name] for name in ASKS if options[name] is not None}
        for name in options_given:
            if ASKS[name] not in document.asks:
                takes = ", ".join(f"--{other}" for other, asked in ASKS.items() if asked in document.asks)
                raise CommandError(f"{document.name} takes no --{name}, only {takes or 'paper, copies and order'}")
        order = options["order"]
        if order and order not in document.orders:
            known = ", ".join(document.orders) or "no choice of order"
            raise CommandError(f"{document.name} has {known}, not {order}")
        chosen = {ASKS[name]: value for name, value in options_given.items()}
        return choice_from({name: options[name] for name in ("paper", "order", "copies")} | chosen)

    def progress(self, pages: int) -> Callable[[int, int], None]:
        """Tells somebody at a terminal how far it is."""

        def tell(page: int, of: int) -> None:
            if self.stderr.isatty():
                done = "" if of else f"page {page} of about {max(page + 1, pages)}"
                self.stderr.write(f"\r\x1b[K{done}", ending="", style_func=str)

        return tell


def put_in_place(path: Path, made: bytes) -> None:
    """Write a file whole or not at all."""
    half = path.with_name(f".{path.name}.half")
    try:
        half.write_bytes(made)
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)
