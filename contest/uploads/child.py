"""The process that reads one file: told what and where on its input, it says on its output how far it is.

Run as `python -m contest.uploads.child`, by `contest.uploads.working` alone. What it read goes into a file, a line of
JSON each; what it says is a line of JSON too: `at`, in words; at the end, if it came to nothing, `refused` in words or
the `limit` that it met.
"""

from __future__ import annotations

import errno
import json
import sys
import time
from collections.abc import Iterable
from gettext import GNUTranslations, NullTranslations
from pathlib import Path
from typing import Any

from contest.background import Limits, end_with_the_server, keep_to, step_back
from contest.uploads.readers import READERS, Refused
from scoring.core.texts import gettext as _
from scoring.core.texts import speak

SAY_EVERY = 0.3  # seconds
A_LINE = 1000  # problems


def main() -> None:
    order = json.loads(sys.stdin.readline())
    reader = READERS[order["kind"]]
    speak_from(order["texts"], order["decimal_mark"])
    step_back()
    keep_to(Limits(**order["limits"]))
    end_with_the_server()
    last = 0.0

    def tell(at: str) -> None:
        nonlocal last
        if time.monotonic() - last >= SAY_EVERY:
            last = time.monotonic()
            say(at=at)

    result = Path(order["result"])
    try:
        read = reader.read(Path(order["file"]), order["name"], tell)
        _write(result, read)
    except Refused as refused:
        _write(result, (refused.problems[at : at + A_LINE] for at in range(0, len(refused.problems), A_LINE)))
        end(refused=str(refused))
    except MemoryError:
        end(limit="memory")
    except RecursionError:
        end(limit="depth")
    except OSError as error:
        if error.errno == errno.EFBIG:
            end(limit="written")
        result.unlink(missing_ok=True)  # what is in it are no problems
        end(refused=_("It could not be read: {reason}. Try once more.").format(reason=error.strerror))


def speak_from(texts: list[str], decimal_mark: str) -> None:
    """Speak the language of whoever brought the file, from these files of translated texts; the first are asked first.

    Django, which would know them by itself, takes longer to load than most files take to be read.
    """
    translations = NullTranslations()
    for path in texts:
        with open(path, "rb") as file:
            translations.add_fallback(GNUTranslations(file))
    speak(translations, lambda: decimal_mark)


def _write(path: Path, lines: Iterable[Any]) -> None:
    with path.open("w", encoding="utf-8") as out:
        for line in lines:
            out.write(json.dumps(line) + "\n")


def say(**facts: object) -> None:
    print(json.dumps(facts), flush=True)


def end(**facts: object) -> None:
    say(**facts)
    sys.exit(1)


if __name__ == "__main__":
    main()
