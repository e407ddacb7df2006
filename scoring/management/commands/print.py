"""`manage.py print CONTEST DOCUMENT --out FILE.pdf`: any document of the print shop, without a browser."""

from argparse import ArgumentTypeError, RawDescriptionHelpFormatter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from textwrap import fill
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.core.management.base import DjangoHelpFormatter
from django.utils import translation
from django.utils.translation import gettext as _

from contest.book.text import LARGEST_NUMBER
from contest.data_folder import serves_others_at
from contest.helpers.addresses import Reach
from contest.management.messages import looking_for_contest
from contest.models import Contest
from contest.trail import sentence
from contest.trail.noting import note_at_terminal
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.changed import remember
from scoring.prints.choice import (
    KINDS,
    LABELS,
    MOST_COPIES,
    MOST_PLACES,
    MOST_SHIFT,
    MOST_SPARES,
    PAPERS,
    Choice,
    WrongChoice,
    choice_from,
)
from scoring.prints.choosing import named
from scoring.prints.document import Document
from scoring.prints.gathering import gather_material
from scoring.prints.left_out import left_out_of
from scoring.prints.rendering import CannotRender, html_of, render_pdf

# The options that only some documents look at, and what of a choice they are.
ASKS = {
    "list": "lists",
    "of": "kinds",
    "class": "classes",
    "number": "numbers",
    "who": "numbers",
    "changed": "changed",
    "places": "places",
    "labels": "labels",
    "skip": "skip",
    "right": "right",
    "down": "down",
    "spares": "spares",
    "from": "first",
    "address": "address",
}


class Lines(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Keeps the list of documents a list."""


def in_help(document: Document) -> str:
    """A document as the help lists it."""
    orders = _("In the order of {orders}.").format(orders=", ".join(document.orders)) if document.orders else ""
    return fill(f"{document.about} {orders}", 100, initial_indent=f"  {document.name:<17}", subsequent_indent=" " * 19)


def whole(least: int, most: int) -> Callable[[str], int]:
    """An argument's type: a whole number of that range."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdecimal() and least <= int(text) <= most):
            words = _("{text} is no whole number from {least} to {most}")
            raise ArgumentTypeError(words.format(text=repr(text), least=least, most=most))
        return int(text)

    return read


class Command(BaseCommand):
    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        about = _("Print a document of a contest to a PDF file. The documents:")
        self.help = "\n".join([about, "", *map(in_help, DOCUMENTS.values())])
        return super().create_parser(prog_name, subcommand, formatter_class=Lines, **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        add = parser.add_argument
        add("contest", type=int, help=_("the contest's number in this database"))
        add("document", metavar="document", help=_("one of the names above"))
        add(
            "--out",
            required=True,
            metavar="FILE.pdf",
            help=_("the file to write, in place of one that is there; FILE.html needs no PDF library"),
        )
        add("--list", action="append", metavar="LIST", help=_("such as SR/overall; may be repeated"))
        add("--of", action="append", choices=KINDS, help=_("contestants' lists or teams' alone"))
        add("--class", action="append", type=int, metavar="NUMBER", help=_("only this class; may be repeated"))
        add("--number", action="append", type=int, help=_("only this contestant; may be repeated"))
        add("--who", action="append", metavar="NAME", help=_("only this team or contestant, by name; may be repeated"))
        about = _("only the sheets that say something else than when a file of them was made last")
        add("--changed", action="store_true", default=None, help=about)
        add("--paper", choices=PAPERS, default="a4", help=_("a4 where it is not said"))
        add("--order", default="", help=_("one of the orders above; the first where it is not said"))
        add("--places", type=whole(1, MOST_PLACES), help=_("how many places of each list get an award"))
        add("--copies", type=whole(1, MOST_COPIES), default=1)
        add("--labels", choices=LABELS, help=_("the sheet of labels"))
        add("--skip", type=whole(0, 29), help=_("labels that are used up on the first sheet"))
        shifts = range(-MOST_SHIFT, MOST_SHIFT + 1)
        add("--right", type=int, choices=shifts, metavar="MM", help=_("move what stands on labels, -5 to 5"))
        add("--down", type=int, choices=shifts, metavar="MM", help=_("the same, downwards"))
        add("--spares", type=whole(1, MOST_SPARES), help=_("how many spare cards or numbers"))
        about = _("spare numbers from this one on; the next that nobody has where it is not said")
        add("--from", type=whole(1, LARGEST_NUMBER), metavar="NUMBER", help=about)
        languages = [code for code, _name in settings.LANGUAGES]
        add("--language", choices=languages, default=settings.LANGUAGE_CODE, help=_("what the document is written in"))
        about = _(
            "how other devices reach this laptop, for join sheets and square codes; that of the running server where "
            "it is not said"
        )
        add("--address", help=about)

    def handle(self, *, language: str, **options: Any) -> None:
        with translation.override(language):
            self.make(**options)

    def make(self, *, contest: int, document: str, out: str, **options: Any) -> None:
        if document not in DOCUMENTS:
            listed = "\n".join(map(in_help, DOCUMENTS.values()))
            raise CommandError(_("The documents:\n{listed}\nThere is no {name}.").format(listed=listed, name=document))
        wanted, path = DOCUMENTS[document], Path(out)
        if path.suffix not in (".pdf", ".html"):
            raise CommandError(_("{path}: give the file a name that ends in .pdf or .html").format(path=out))
        try:
            with looking_for_contest(contest):
                if "address" in wanted.asks and not options["address"]:
                    options["address"] = served_at(Contest.objects.get(pk=contest))
                choice = self.choice(wanted, options)
                material = gather_material(contest, wanted, choice.address)
            for name in options["who"] or ():
                teams, numbers = named(material.record, name)
                choice = replace(choice, teams=choice.teams + teams, numbers=choice.numbers + numbers)
            lost = left_out_of(wanted, material, choice)
            if lost:
                self.stderr.write(lost.said, style_func=str)
            html, pages, said = html_of(wanted, material, choice)
            if path.suffix == ".html":
                made = html.encode()
            else:
                made = render_pdf(html, choice.copies, material.picture, self.progress(pages), pages)
            put_in_place(path, made)
            remember(Contest.objects.get(pk=contest), document, said)
        except WrongChoice as problem:
            raise CommandError(str(problem)) from None
        except CannotRender as problem:
            words = _("{problem}; --out FILE.html makes a page to print from a browser")
            raise CommandError(words.format(problem=problem)) from None
        except OSError as error:
            words = _("{path}: the file cannot be written there: {error}")
            raise CommandError(words.format(path=out, error=error.strerror)) from None
        note_at_terminal(sentence("print_written", document=document), contest)
        words = _("{document} of {contest} written to {path}")
        self.stdout.write(words.format(document=wanted.title, contest=material.record.rules.name, path=out))

    def choice(self, document: Document, options: dict[str, Any]) -> Choice:
        """What the options choose. Refuses what the document would not look at: it would print something else."""
        options_given = {name: options[name] for name in ASKS if options[name] is not None}
        for name in options_given:
            if ASKS[name] not in document.asks:
                takes = ", ".join(f"--{other}" for other, asked in ASKS.items() if asked in document.asks)
                words = _("{document} takes no --{option}, only {others}")
                others = takes or _("paper, copies and order")
                raise CommandError(words.format(document=document.name, option=name, others=others))
        order = options["order"]
        if order and order not in document.orders:
            known = ", ".join(document.orders) or _("no choice of order")
            words = _("{document} has {known}, not {order}")
            raise CommandError(words.format(document=document.name, known=known, order=order))
        if "ways_in" in document.needs and not options["address"]:
            words = _(
                "{document} says how other devices reach this laptop, and Tanbark is not serving them now: start it, "
                "or say --address http://192.168.1.2:8000"
            )
            raise CommandError(words.format(document=document.name))
        chosen = {ASKS[name]: value for name, value in options_given.items() if name != "who"}
        return choice_from({name: options[name] for name in ("paper", "order", "copies")} | chosen)

    def progress(self, pages: int) -> Callable[[int, int], None]:
        """Tells somebody at a terminal how far it is."""

        def tell(page: int, of: int) -> None:
            if self.stderr.isatty():
                words = _("page {page} of about {all}")
                done = "" if of else words.format(page=page, all=max(page + 1, pages))
                self.stderr.write(f"\r\x1b[K{done}", ending="", style_func=str)

        return tell


def served_at(contest: Contest) -> str:
    """Where the running server answers other devices, as chosen or else the likeliest; empty if nowhere."""
    addresses = [address.rstrip("/") for address in serves_others_at(settings.DATA_FOLDER)]
    return Reach(tuple(addresses), contest.hall_address).base


def put_in_place(path: Path, made: bytes) -> None:
    """Write a file whole or not at all."""
    half = path.with_name(f".{path.name}.half")
    try:
        half.write_bytes(made)
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)
