"""`manage.py verify_trail`: prove the trail whole, or that a paper belongs to it."""

from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.management.messages import contest_label, looking_for_contest, needing_database
from contest.models import Contest
from contest.trail.hashing import short
from contest.trail.proving import NoHead, Proof, belongs, prove
from scoring.core.points import in_thousands


class Command(BaseCommand):
    help = _(
        "Prove that the trail is whole: that of one contest, or of all and the site's own. With --head, say whether a "
        "printed paper belongs to a contest's trail. Ends with 1 where something does not hold."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, nargs="?", help=_("its number; without one, every trail is proved"))
        parser.add_argument("--head", metavar="SIGNS", help=_("what stands after “trail” at the foot of a paper"))
        parser.add_argument("--revision", type=int, metavar="N", help=_("the revision that stands beside it"))

    def handle(self, *, contest: int | None, head: str | None, revision: int | None, **options: Any) -> None:
        if contest is None and (head or revision):
            raise CommandError(_("say which contest the paper is of"))
        if revision is not None and not head:
            raise CommandError(_("a revision alone proves nothing; give --head too"))
        if contest is None:
            with needing_database():
                chains = [*Contest.every.filter(loading_at=None).order_by("pk"), None]
            broken = [chain for chain in chains if not self._holds(chain)]
        else:
            with looking_for_contest(contest):
                row = Contest.objects.get(pk=contest)
            broken = [] if self._holds(row) else [row]
            if head:
                self._paper(row, head, revision)
        if broken:
            raise CommandError(_("the trail does not hold; keep the data folder as it is, and compare it with a copy"))

    def _holds(self, contest: Contest | None) -> bool:
        """Say what came of one chain; whether all of it holds."""
        proof = prove(contest)
        self.stdout.write(f"{contest_label(contest) if contest else 'the site itself'}: {_summary(proof)}")
        for problem in proof.problems:
            self.stderr.write(f"  {problem}")
        return not proof.problems

    def _paper(self, contest: Contest, head: str, revision: int | None) -> None:
        try:
            revisions = belongs(contest, head, revision)
        except NoHead as problem:
            raise CommandError(str(problem)) from None
        if not revisions:
            text = _("the paper does not belong to this trail")
            if revision is not None:
                text = _("the paper does not belong to revision {revision} of this trail").format(revision=revision)
            raise CommandError(text)
        self.stdout.write(_("the paper belongs to this trail, at revision {revision}").format(revision=revisions[0]))


def _summary(proof: Proof) -> str:
    said = [_("nothing is in its trail")]
    if proof.entries:
        entries = ngettext(
            "{count} entry to revision {revision}, trail {short}",
            "{count} entries to revision {revision}, trail {short}",
            proof.entries,
        )
        names = ngettext("{count} name", "{count} names", proof.names)
        if proof.forgotten:
            names = ngettext(
                "{count} name, {forgotten} made anonymous", "{count} names, {forgotten} made anonymous", proof.names
            )
        said = [
            entries.format(count=in_thousands(proof.entries), revision=proof.revision, short=short(proof.head)),
            names.format(count=in_thousands(proof.names), forgotten=proof.forgotten),
        ]
    problems = ngettext("{count} problem", "{count} problems", len(proof.problems))
    said.append(problems.format(count=in_thousands(len(proof.problems))) if proof.problems else _("whole"))
    return "; ".join(said)
