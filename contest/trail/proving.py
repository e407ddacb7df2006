"""Whether a trail is as it was written: each hash is worked out anew from what the entries say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from django.utils.translation import gettext as _

from contest.models import Contest, RowChange, SiteTrail, TrailDoor, TrailEntry, TrailName
from contest.other_apps import OTHER_APPS
from contest.row_changes.stamping import COLUMNS as KEPT
from contest.row_changes.stamping import KeptRow, digest_of
from contest.trail.hashing import COLUMNS, Content, short, token_of, tokens_in

CHUNK = 2000
LEAST_SIGNS = 8


@dataclass(frozen=True, slots=True)
class Problem:
    """What does not hold: `kind` is content, gap, order, head, name, rows, release or door."""

    revision: int | None
    kind: str
    text: str

    def __str__(self) -> str:
        if self.revision is None:
            return self.text
        return _("revision {revision}: {text}").format(revision=self.revision, text=self.text)


@dataclass(frozen=True, slots=True)
class Proof:
    """What came of proving one chain; without problems all of it holds. `forgotten` names were made anonymous."""

    entries: int
    revision: int
    head: str
    names: int
    forgotten: int
    problems: tuple[Problem, ...]


def prove(contest: Contest | None) -> Proof:
    """Prove the chain of a contest, or the site's own, with the names and rows beside it and the releases' books."""
    chain = _Chain(contest)
    problems = list(chain.problems())
    names, forgotten, wrong = _names(contest, chain.tokens)
    if contest is None:
        open_doors = TrailDoor.objects.values_list("contest_key", flat=True)
        stands_open = _("the trail of contest {key} stands open")
        wrong += [Problem(None, "door", stands_open.format(key=key)) for key in open_doors]
    problems += [*wrong, *_books(contest, chain.books), *_rows(contest, chain.digests)]
    return Proof(chain.entries, chain.revision, chain.head, names, forgotten, tuple(problems))


class _Chain:
    """Walks a chain once, and keeps what else has to be looked up."""

    def __init__(self, contest: Contest | None) -> None:
        self._contest = contest
        self.entries = self.revision = 0
        self.head = ""
        self.tokens: set[str] = set()
        self.books: dict[int, str] = {}
        self.digests: dict[int, str] = {}

    def problems(self) -> Iterator[Problem]:
        """What does not hold, in the order of the chain. After a problem each entry is taken at its own word again."""
        rows = TrailEntry.objects.filter(contest=self._contest).order_by("revision")
        content_of = itemgetter(*range(2, len(COLUMNS) + 2))
        last_key = 0
        for row in rows.values_list("pk", "hash", *COLUMNS).iterator(CHUNK):
            key, digest, content = row[0], row[1], Content(*content_of(row))
            if content.revision != self.revision + 1:
                text = _("nothing stands between it and revision {revision}").format(revision=self.revision)
                yield Problem(content.revision, "gap", text)
            elif key <= last_key:
                yield Problem(content.revision, "order", _("it was written before the one that it follows"))
            if content.hash_after(self.head) != digest:
                text = _("what it says, or what it follows, is not what its hash was made of")
                yield Problem(content.revision, "content", text)
            last_key, self.head, self.revision = key, digest, content.revision
            self.entries += 1
            self._remember(content)
        ends = self._contest or SiteTrail.objects.first() or SiteTrail()
        ends = Contest.every.get(pk=ends.pk) if isinstance(ends, Contest) else ends
        if (ends.revision, ends.trail_head) != (self.revision, self.head):
            text = _("the trail ends at revision {revision}, {head}; it should at revision {wanted}, {wanted_head}")
            head = short(self.head) or _("with nothing")
            wanted = {"wanted": ends.revision, "wanted_head": short(ends.trail_head)}
            yield Problem(None, "head", text.format(revision=self.revision, head=head, **wanted))

    def _remember(self, content: Content) -> None:
        self.tokens.add(content.by)
        if content.rows_digest:
            self.digests[content.revision] = content.rows_digest
        self.tokens.update(tokens_in(content.before), tokens_in(content.after))
        if isinstance(content.after, dict) and "book" in content.after and "version" in content.after:
            self.books[content.after["version"]] = content.after["book"]


def _names(contest: Contest | None, used: set[str]) -> tuple[int, int, list[Problem]]:
    """How many names stand beside a chain, how many of them are forgotten, and what is wrong with them."""
    known: set[str] = set()
    forgotten, wrong = 0, []
    rows = TrailName.objects.values_list("contest_id", "token", "salt", "name")
    for contest_id, token, salt, name in rows.iterator(CHUNK):
        if token not in used:
            continue
        known.add(token)
        if name is None:
            forgotten += 1
        elif token_of(salt, name) != token or (contest and contest_id != contest.pk):
            text = _("{name} is not the name that the trail means by {token}").format(name=name, token=token)
            wrong.append(Problem(None, "name", text))
    if missing := used - known:
        text = _("{count} of the names beside the trail are gone").format(count=len(missing))
        wrong.append(Problem(None, "name", text))
    return len(known), forgotten, wrong


def _rows(contest: Contest | None, digests: dict[int, str]) -> Iterator[Problem]:
    """Changes whose rows, as they were before, are no longer those that the trail holds the digest of."""
    rows = RowChange.objects.filter(contest=contest, revision__isnull=False).order_by("revision", "pk")
    left = dict(digests)
    for revision, some in groupby(rows.values_list("revision", *KEPT).iterator(CHUNK), itemgetter(0)):
        if digest_of(KeptRow._make(row[1:]) for row in some) != left.pop(revision, ""):
            yield Problem(revision, "rows", _("the rows kept beside it are not those that it was written with"))
    for revision in left:
        yield Problem(revision, "rows", _("the rows that were kept beside it are gone"))


def _books(contest: Contest | None, books: dict[int, str]) -> Iterator[Problem]:
    """Books that are no longer those that the trail tells of."""
    if contest is None:
        return
    for app in OTHER_APPS:
        yield from (Problem(None, "release", text) for text in app.check_books(contest, books))


class NoHead(ValueError):
    """Raised for what cannot be a trail's hash as it stands on paper."""


def belongs(contest: Contest, on_paper: str, revision: int | None = None) -> list[int]:
    """The revisions of a contest's trail whose hash begins like the one on a paper; of `revision` alone, where given.

    Raises NoHead.
    """
    signs = re.sub(r"[\s-]", "", on_paper).lower()
    if not re.fullmatch(rf"[0-9a-f]{{{LEAST_SIGNS},64}}", signs):
        raise NoHead(_("copy the groups of letters and digits from the foot of the paper, as in: 0a1b 2c3d 4e5f 6071"))
    entries = contest.trail.filter(hash__startswith=signs)
    if revision is not None:
        entries = entries.filter(revision=revision)
    return list(entries.values_list("revision", flat=True))
