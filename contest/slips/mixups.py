"""What looks mixed up in a contest, found once for each revision: how it is said, and what somebody waved through."""

from __future__ import annotations

import hashlib
import json
from collections import OrderedDict
from dataclasses import dataclass

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.changes.locks import MemoryLock
from contest.models import Contest, Touches
from contest.records.tallying import Tallied, tallied
from contest.trail import Personal, record_change, sentence
from contest.trail.sentences import Sentence
from scoring.core.explain import listed
from scoring.core.mixups import Mixup, mixups
from scoring.core.placing import ANIMALS
from scoring.core.record import Record

CONTESTS_KEPT = 4


@dataclass(frozen=True, slots=True)
class Finding:
    """A mix-up as it is told. `key` names it until a key or its strength changes, whatever cards come in meanwhile, and
    `shown` stands for all that is told of it."""

    mixup: Mixup
    line: Sentence
    key: str
    shown: str

    @property
    def anchor(self) -> str:
        return f"mixup-{self.key}"

    @property
    def act(self) -> str:
        """What mends it: `turn` or `exchange`; where it is `key`, that is typed again."""
        if self.mixup.kind in ("turned", "some"):
            return "turn"
        return "exchange" if self.mixup.kind in ("stacks", "elsewhere") else "key"

    @property
    def press(self) -> str:
        """What the button says that mends it; empty where keys are typed again."""
        if self.act == "turn":
            count = len(self.mixup.numbers)
            text = _("Turn the stack") if self.mixup.kind == "turned" else _("Turn these {count} cards")
            return text.format(count=count)
        if self.mixup.kind == "elsewhere":
            return _("Give them to class {number}").format(number=self.mixup.classes[-1])
        return _("Exchange the stacks") if self.act == "exchange" else ""


def finding_of(mixup: Mixup, record: Record) -> Finding:
    keys = {judged.number: judged.official or "" for judged in record.classes}
    first, last, fits = mixup.classes[0], mixup.classes[-1], mixup.fits
    line = sentence(
        f"mixup_{mixup.kind}",
        judged=first,
        other=last,
        group=mixup.group,
        count=fits[0].cards,
        other_count=fits[-1].cards,
        now=sum(fit.now for fit in fits),
        mended=sum(fit.mended for fit in fits),
        official=keys[first],
        better=mixup.better,
        whose=list(mixup.numbers),
    )
    what = [
        mixup.kind,
        mixup.classes,
        mixup.group,
        mixup.better,
        mixup.sure,
        [keys[number] for number in mixup.classes],
    ]
    return Finding(mixup, line, _digest(what), _digest([what, fits, mixup.numbers]))


def _digest(what: object) -> str:
    return hashlib.sha256(json.dumps(what).encode()).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class _Kept:
    revision: int
    findings: list[Finding]


_kept: OrderedDict[int, _Kept] = OrderedDict()
_lock = MemoryLock()


def open_findings(contest: Contest, shown: Tallied | None = None) -> list[Finding]:
    """What looks mixed up and nobody waved through, the strongest first; `shown` is the contest as it is looked at."""
    shown = shown or tallied(contest)
    with _lock:
        kept = _kept.get(contest.pk)
    if kept is None or kept.revision != shown.revision:
        found = [finding_of(mixup, shown.record) for mixup in mixups(shown.record)]
        waved = set(contest.waved_mixups.values_list("what", flat=True))
        kept = _Kept(shown.revision, [finding for finding in found if finding.key not in waved])
        with _lock:
            _kept[contest.pk] = kept
            _kept.move_to_end(contest.pk)
            while len(_kept) > CONTESTS_KEPT:
                _kept.popitem(last=False)
    return kept.findings


def not_looked_at(contest: Contest) -> str:
    """The classes, by number, in which nothing is looked for since they have not four animals; empty where all have."""
    classes = contest.classes.filter(places=True, void=False).values_list("number", "animals")
    return listed(str(number) for number, animals in classes if len(animals) != len(ANIMALS))


def count_at_last_look(contest: Contest) -> int:
    """How many there were when somebody last looked: every page shows it, and none waits for a look."""
    with _lock:
        kept = _kept.get(contest.pk)
    return len(kept.findings) if kept else 0


def forget_all() -> None:
    """Drop what is kept: for tests, whose databases start over with the same keys."""
    with _lock:
        _kept.clear()


@changes
def wave_through(contest: Contest, finding: Finding, by: str, reason: str) -> None:
    """Say that it is right as it is, for a reason; it is told no more. Raises NotPossible without a reason."""
    if not reason.strip():
        raise NotPossible(_("say how you know that it is right"))
    take_turn(contest.pk)
    contest.waved_mixups.get_or_create(what=finding.key, defaults={"by": by, "reason": reason.strip()})
    what = sentence("mixup_waved", line=finding.line)
    record_change(contest, by, what, after={"reason": Personal(reason.strip())}, touches=Touches.NOTHING)
