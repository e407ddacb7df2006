"""`manage.py verify_trail`: prove the trail whole, or that a paper belongs to it."""

from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from contest.management.messages import contest_label, looking_for_contest, needing_database
from contest.models import Contest
from contest.trail.hashing import short
from contest.trail.proving import NoHead, Proof, belongs, prove
from scoring.core.explain import counted


class Command(BaseCommand):
    help = (
        "Prove that the trail is whole: that of one contest, or of all and the site's own. With --head, say whether a "
        "printed paper belongs to a contest's trail. Ends with 1 where something does not hold."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, nargs="?", help="its number; without one, every trail is proved")
        parser.add_argument("--head", metavar="SIGNS", help="what stands after “trail” at the foot of a paper")
        parser.add_argument("--revision", type=int, metavar="N", help="the revision that stands beside it")

    def handle(self, *, contest: int | None, head: str | None, revision: int | None, **options: Any) -> None:
        if contest is None and (head or revision):
            raise CommandError("say which contest the paper is of")
        if revision is not None and not head:
            raise CommandError("a revision alone proves nothing; give --head too")
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
            raise CommandError("the trail does not hold; keep the data folder as it is, and compare it with a copy")

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
            where = f"revision {revision} of this trail" if revision is not None else "this trail"
            raise CommandError(f"the paper does not belong to {where}")
        self.stdout.write(f"the paper belongs to this trail, at revision {revisions[0]}")


def _summary(proof: Proof) -> str:
    text = "nothing is in its trail"
    if proof.entries:
        text = f"{counted(proof.entries, 'entry', 'entries')} to revision {proof.revision}, trail {short(proof.head)}; "
        text += counted(proof.names, "name") + (f", {proof.forgotten} made anonymous" if proof.forgotten else "")
    return f"{text}; {counted(len(proof.problems), 'problem')}" if proof.problems else f"{text}; whole"
