"""Bring the translators' files up to date: `python -m tests.texts es`.

`--take FILE...` takes translations out of other .po files first; `--missing FILE --of FOLDER...` writes the texts of
those folders that have no translation yet into a .po file.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from babel.messages.pofile import read_po

from tests.texts.catalogs import DOMAINS, brought_up_to_date, is_translated, new, po_bytes, write


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.texts", description=__doc__)
    parser.add_argument("language", help="such as es")
    parser.add_argument("--take", type=Path, nargs="+", default=[], help=".po files with translations")
    parser.add_argument("--missing", type=Path, help="a .po file to write what has no translation into")
    parser.add_argument("--of", nargs="+", default=[""], help="the folders whose texts --missing writes")
    asked = parser.parse_args()
    taken = new(asked.language)
    for path in asked.take:
        with path.open("rb") as file:
            for message in read_po(file, locale=asked.language):
                if message.id and is_translated(message):
                    taken.add(message.id, message.string, context=message.context)
    missing = new(asked.language)
    for domain in DOMAINS:
        catalog = brought_up_to_date(asked.language, domain, taken)
        texts = [message for message in catalog if message.id]
        empty = [message for message in texts if not is_translated(message)]
        print(f"{domain}: {len(texts)} texts, {len(empty)} without a translation")
        for message in empty:
            if any(name.startswith(tuple(asked.of)) for name, _line in message.locations):
                missing.add(message.id, locations=message.locations, context=message.context)
        if not asked.missing:
            write(catalog, asked.language, domain)
    if asked.missing:
        asked.missing.write_bytes(po_bytes(missing))


if __name__ == "__main__":
    main()
