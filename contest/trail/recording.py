"""Every change is written down with who made it, and moves the contest's revision by one.

A contest's chain is told where it ends by the contest's own row (`revision` and `trail_head`), so that the row that
every change locks anyway is all that has to be looked at. What changes no contest, such as signing in or fetching a
file, stands in the site's chain: it moves no revision, so no page that waits for one is woken.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from django.db import transaction
from django.utils import timezone

from contest.changes import Turn, changes
from contest.changes.at_once import send
from contest.changes.inserting import put
from contest.models import Contest, SiteTrail, Touches, TrailEntry
from contest.models.organisations import NOTHING, reach_now
from contest.row_changes.stamping import stamp, unstamp
from contest.trail.hashing import Content, names_in, with_tokens
from contest.trail.names import token_for, tokens_for
from contest.trail.sentences import Sentence
from contest.trail.subjects import subjects

SITE = 1

# Every change ends so; Django would put it together anew each time.
_MOVE = {
    chain: f"UPDATE {chain._meta.db_table} SET revision = %s, trail_head = %s"  # noqa: S608 -- our own names
    " WHERE id = %s AND revision = %s AND trail_head = %s RETURNING revision"
    for chain in (Contest, SiteTrail)
}


@transaction.atomic(savepoint=False)
def record_change(
    contest: Contest,
    by: str,
    what: Sentence,
    before: Any = None,
    after: Any = None,
    touches: Touches = Touches.EVERYTHING,
    *,
    about: Iterable[str] = (),
    turn: Turn | None = None,
) -> int:
    """Write down one change and return the contest's new revision. Call it in the transaction that makes the change.

    `before` and `after` are anything JSON can hold. `touches` may be narrowed only by a change that alters nothing else
    of the contest's record, nor of its doubts. What the trail can be looked through by are the values of the sentence
    `what` (`judged`, `contestant`), and `about` names the rest, such as `contestant:101` or `team:<key>`. No sentence
    `what` may hold somebody's name: names go into `before` or `after`, under one of NAME_KEYS or as `Personal`. `turn`
    is what `take_turn` gave, and saves asking again; the database itself finds out where it is no longer true. The rows
    that were changed before the call belong to the entry (`contest.history`), so it comes last.
    """
    said = _Said(by, what, before, after, touches, about)
    revision = turn and _append_with_rows(contest, turn, said)
    if revision is None:
        rows = Contest.every.select_for_update().values_list("revision", "trail_head")
        revision = _append_with_rows(contest, Turn(*rows.get(pk=contest.pk)), said)
    assert revision is not None, "somebody else wrote while the contest's row was locked"
    return revision


@changes
def note(
    by: str,
    what: Sentence,
    contest: Contest | None = None,
    before: Any = None,
    after: Any = None,
    about: Iterable[str] = (),
    organisation: int | None = None,
) -> int:
    """Write down what changes no contest's record, in the site's chain; `contest` is the one that it is about.

    Owners see what is about their `organisation`: the contest's, or that of whoever asks, unless another is given.

    The contest's row is locked before the site's, here as everywhere: a name that both chains want is a row that holds
    on to the contest, and whoever came to it the other way round would wait for the one who waits for them.
    """
    if contest is not None:
        Contest.every.select_for_update().values_list("pk").filter(pk=contest.pk).first()
    site = SiteTrail.objects.select_for_update().filter(pk=SITE).first()
    if site is None:
        SiteTrail.objects.bulk_create([SiteTrail(pk=SITE)], ignore_conflicts=True)
        site = SiteTrail.objects.select_for_update().get(pk=SITE)
    if contest is not None:
        about = [f"contest:{contest.pk}", *about]
    if organisation is None:
        asks = reach_now() or NOTHING
        organisation = contest.organisation_id if contest is not None else asks.organisation
    if organisation is not None:
        about = [*about, f"organisation:{organisation}"]
    said = _Said(by, what, before, after, Touches.NOTHING, about)
    revision = _append(site, contest.pk if contest else None, Turn(site.revision, site.trail_head), said)
    assert revision is not None, "somebody else wrote while the site's row was locked"
    return revision


class _Said(NamedTuple):
    """What an entry is to say, with names."""

    by: str
    what: Sentence
    before: Any
    after: Any
    touches: Touches
    about: Iterable[str]
    rows_digest: str = ""


def _append_with_rows(contest: Contest, turn: Turn, said: _Said) -> int | None:
    """Append, with what the rows were that were changed since the last entry of this transaction."""
    digest, rows = stamp(contest.pk, turn.revision + 1)
    revision = _append(contest, contest.pk, turn, said._replace(rows_digest=digest))
    if revision is None:
        unstamp(rows)
    return revision


def _append(chain: Contest | SiteTrail, names_of: int | None, turn: Turn, said: _Said) -> int | None:
    """Add an entry to a chain that ends as `turn` says; None where it ends otherwise.

    `names_of` is the contest that the names in it belong to.
    """
    contest = chain if isinstance(chain, Contest) else None
    names = {*names_in(said.before), *names_in(said.after)}
    tokens = tokens_for(names_of, names) if names else {}
    content = Content(
        contest=contest.pk if contest else None,
        revision=turn.revision + 1,
        at=timezone.now(),
        by=token_for(names_of, said.by),
        what=said.what.code,
        values=said.what.plain(),
        before=with_tokens(said.before, tokens),
        after=with_tokens(said.after, tokens),
        touches=str(said.touches),
        about=subjects(said.what, said.about),
        rows_digest=said.rows_digest,
    )
    digest = content.hash_after(turn.head)
    moved = send(_MOVE[type(chain)], [content.revision, digest, chain.pk, turn.revision, turn.head], bool)
    if not moved():
        return None
    chain.revision, chain.trail_head = content.revision, digest
    put(TrailEntry, content.columns() | {"hash": digest})
    return content.revision
