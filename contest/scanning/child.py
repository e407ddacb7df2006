"""The process that reads the cards on pages: told which files on its input, it says on its output what it found.

Run as `python -m contest.scanning.child`, by `contest.scanning.jobs` alone. Each line that it says is JSON: first how
many `pages` there are; then, page by page, the `page` and its `cards`; at the end, where it could not go on, the
`trouble`. It knows no Django and no database.
"""

from __future__ import annotations

import json
import sys
from base64 import b64encode
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

from contest.background import Limits, end_with_the_server, keep_to, step_back
from contest.scanning.guessing import thought
from contest.scanning.reader import FoundCard, Identity
from contest.scanning.reader.pages import CannotOpen, page_count, pages_of


def main() -> None:
    order = json.loads(sys.stdin.readline())
    step_back()
    keep_to(Limits(**order["limits"]))
    end_with_the_server()
    try:
        for line in found(order):
            print(json.dumps(line), flush=True)
    except CannotOpen as problem:
        end(problem.code)
    except MemoryError:
        end("memory")
    except OSError:
        end("disk")


def found(order: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """What is said of the pages that an order asks for: those after the first `after`. Raises CannotOpen."""
    from contest.scanning.reader.reading import read_page  # it takes longer to load than Python itself

    files = [Path(file) for file in order["files"]]
    secret, asked = bytes.fromhex(order["secret"]), order["asked"]

    def asked_by(identity: Identity) -> tuple[str, int]:
        labels, count = asked.get(identity.kind, {}).get(str(identity.judged), ("", 0))
        return labels, count

    def animals_of(identity: Identity) -> str:
        return asked_by(identity)[0]

    def count_of(identity: Identity) -> int:
        return asked_by(identity)[1]

    counts = [page_count(file) for file in files]
    yield {"pages": sum(counts)}
    before = 0
    for file, pages in zip(files, counts, strict=True):
        first = max(1, order["after"] - before + 1)
        if first <= pages:
            for page, picture in zip(count(before + first), pages_of(file, first=first)):
                cards = read_page(picture, secret, animals_of, count_of)
                yield {"page": page, "cards": [told(card, animals_of) for card in cards]}
        before += pages


def told(card: FoundCard, animals_of: Callable[[Identity], str]) -> dict[str, Any]:
    """A card as JSON holds it."""
    return {
        "identity": card.identity and list(card.identity),
        "number": card.number_marked,
        "placing": thought(card, animals_of(card.identity) if card.identity else ""),
        "certain": card.certain,
        "confidence": card.confidence,
        "troubles": list(card.troubles),
        "washed_out": card.washed_out,
        "picture": b64encode(card.picture).decode(),
    }


def end(trouble: str) -> None:
    print(json.dumps({"trouble": trouble}), flush=True)
    sys.exit(1)


if __name__ == "__main__":
    main()
