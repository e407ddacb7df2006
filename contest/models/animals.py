"""What the database holds of a class's animals: their labels, and that each placing, key and note of it names them.

What a placing may be depends on its class, and no constraint sees another table: triggers do. They are made after every
migration, as those of `one_contest` are.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from django.apps import apps as installed
from django.apps.registry import Apps
from django.core.exceptions import FieldDoesNotExist
from django.db import connections, models

from contest.models.triggers import drop_triggers_there, run_together
from scoring.core.placing import FEWEST_ANIMALS, MOST_ANIMALS

PREFIX = "animals_"
CUTS_LENGTH = 60

CLASS, KEY, DISPUTE, CARD, READING, SEAT, ALONE = (
    f"contest_{name}"
    for name in ("judgingclass", "key", "keydispute", "card", "reading", "committeeseat", "committeekey")
)
PAIR_NOTE = "reasons_pairnote"
"""Of another app, whose rows hang on the animals of a class all the same."""

_PLACES = range(1, MOST_ANIMALS + 1)
_NO_PLACING = "IN ('', 'unreadable')"
_FIND = "instr"
"""SQLite's name for it; PostgreSQL calls it `strpos`."""


if TYPE_CHECKING:
    _Text = models.CharField[Sequence[int], tuple[int, ...]]
else:
    _Text = models.CharField


class Cuts(_Text):
    """The cuts of a key, whole points, one fewer than animals; as text with spaces between, such as `3 5 2`."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"max_length": CUTS_LENGTH, **options})

    def from_db_value(self, value: str, *_how: object) -> tuple[int, ...]:
        return tuple(map(int, value.split()))

    def to_python(self, value: Any) -> Any:
        return tuple(map(int, value.split())) if isinstance(value, str) else value

    def get_prep_value(self, value: Any) -> Any:
        return value if isinstance(value, str) else " ".join(map(str, value))


def drop_triggers(using: str, **_signal: Any) -> None:
    """Before a migration."""
    drop_triggers_there(connections[using], PREFIX)


def make_triggers(using: str, apps: Apps = installed, plan: Any = None, **_signal: Any) -> None:
    """After a migration. `apps` is what the database holds then; there is no `plan` after a flush, which drops none."""
    if plan is not None and _knows_animals(apps):
        connection = connections[using]
        run_together(connection, statements(connection.vendor))


def statements(vendor: str) -> list[str]:
    """The statements that make all triggers, in a database that has none of them."""
    make = {"sqlite": _on_sqlite, "postgresql": _on_postgresql}[vendor]
    of_class = f"(SELECT animals FROM {CLASS} WHERE id = NEW.judging_class_id)"  # noqa: S608 -- our own names, here and below
    of_key = f"(SELECT animals FROM {CLASS} WHERE id = (SELECT judging_class_id FROM {KEY} WHERE id = NEW.key_id))"  # noqa: S608
    of_seat = f"(SELECT animals FROM {CLASS} WHERE id = (SELECT judging_class_id FROM {SEAT} WHERE id = NEW.seat_id))"  # noqa: S608
    no_alone = f"{_other_signs(vendor, 'NEW.cuts', '0-9 ')} OR {_not_one_fewer('NEW.cuts', 'NEW.placing')}"
    no_key = f"{_other_signs(vendor, 'NEW.cuts', '0-9 ')} OR {_not_one_fewer('NEW.cuts', 'NEW.official')}"
    handed_in = (
        f"EXISTS (SELECT 1 FROM {KEY} WHERE judging_class_id = NEW.id) OR EXISTS (SELECT 1 FROM {READING}"  # noqa: S608
        f' WHERE judging_class_id = NEW.id AND "placing" NOT {_NO_PLACING})'
        f" OR EXISTS (SELECT 1 FROM {ALONE} WHERE seat_id IN (SELECT id FROM {SEAT} WHERE judging_class_id = NEW.id))"
        f" OR EXISTS (SELECT 1 FROM {PAIR_NOTE} WHERE judging_class_id = NEW.id)"
    )
    no_pair = f"NEW.pair >= length({of_class})"
    return [
        *make(CLASS, "insert", "INSERT", _no_labels(vendor, "NEW.animals")),
        *make(CLASS, "update", "UPDATE OF animals", _no_labels(vendor, "NEW.animals")),
        *make(CLASS, "kept", "UPDATE OF animals", f"NEW.animals <> OLD.animals AND ({handed_in})"),
        *make(KEY, "insert", "INSERT", f"{no_key} OR {_not_placed('NEW.official', of_class)}"),
        *make(KEY, "update", "UPDATE OF official, cuts", f"{no_key} OR {_not_placed('NEW.official', of_class)}"),
        *make(DISPUTE, "insert", "INSERT", f"{no_key} OR {_not_placed('NEW.official', of_key)}"),
        *make(DISPUTE, "update", "UPDATE OF official, cuts", f"{no_key} OR {_not_placed('NEW.official', of_key)}"),
        *make(ALONE, "insert", "INSERT", f"{no_alone} OR {_not_placed('NEW.placing', of_seat)}"),
        *make(ALONE, "update", 'UPDATE OF "placing", cuts', f"{no_alone} OR {_not_placed('NEW.placing', of_seat)}"),
        *make(READING, "insert", "INSERT", _no_card("placing", of_class)),
        *make(READING, "update", 'UPDATE OF "placing"', _no_card("placing", of_class)),
        *make(PAIR_NOTE, "insert", "INSERT", no_pair),
        *make(PAIR_NOTE, "update", "UPDATE OF pair", no_pair),
        *make(CARD, "insert", "INSERT", f"{_no_card('placing', of_class)} OR {_no_card('second', of_class)}"),
        *make(CARD, "update", 'UPDATE OF "placing"', _no_card("placing", of_class)),
        *make(CARD, "second", "UPDATE OF second", _no_card("second", of_class)),
    ]


def _knows_animals(apps: Apps) -> bool:
    try:
        apps.get_model("contest.JudgingClass")._meta.get_field("animals")
        apps.get_model("contest.Key")._meta.get_field("cuts")
        apps.get_model("contest.CommitteeKey")
        apps.get_model("reasons.PairNote")
    except (LookupError, FieldDoesNotExist):
        return False
    return True


def _no_labels(vendor: str, text: str) -> str:
    """SQL: whether a text is not so many different digits or capital letters."""
    twice = " OR ".join(
        f"length({text}) - length(replace({text}, substr({text}, {place}, 1), '')) > 1" for place in _PLACES
    )
    length = f"length({text}) NOT BETWEEN {FEWEST_ANIMALS} AND {MOST_ANIMALS}"
    return f"{length} OR {_other_signs(vendor, text, '0-9A-Z')} OR {twice}"


def _other_signs(vendor: str, text: str, signs: str) -> str:
    return f"{text} GLOB '*[^{signs}]*'" if vendor == "sqlite" else f"{text} ~ '[^{signs}]'"


def _not_placed(text: str, animals: str) -> str:
    """SQL: whether a text is not all of a class's animals, each once. Beyond the last there is nothing to look for."""
    lacks = " OR ".join(f"{_FIND}(p, substr(a, {place}, 1)) = 0" for place in _PLACES)
    wrong = f"length(p) <> length(a) OR {lacks}"
    return f"(SELECT {wrong} FROM (SELECT {text} AS p, {animals} AS a) AS compared)"  # noqa: S608


def _no_card(column: str, animals: str) -> str:
    new = f'NEW."{column}"'
    return f"({new} NOT {_NO_PLACING} AND {_not_placed(new, animals)})"


def _not_one_fewer(cuts: str, official: str) -> str:
    return f"length({cuts}) - length(replace({cuts}, ' ', '')) <> length({official}) - 2"


def _on_sqlite(table: str, kind: str, event: str, refused: str) -> list[str]:
    return [
        f"CREATE TRIGGER {PREFIX}{kind}_{table} BEFORE {event} ON {table} FOR EACH ROW WHEN {refused} "
        f"BEGIN SELECT RAISE(ABORT, 'a row of {table} names other animals'); END"
    ]


def _on_postgresql(table: str, kind: str, event: str, refused: str) -> list[str]:
    """A condition on a trigger may not look at another table there, so it stands within the function."""
    name, refused = f"{PREFIX}{kind}_{table}", refused.replace(_FIND, "strpos")
    return [
        f"""
        CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF {refused} THEN
                RAISE EXCEPTION 'a row of % names other animals', TG_TABLE_NAME
                USING ERRCODE = 'integrity_constraint_violation';
            END IF;
            RETURN NEW;
        END $$
        """,
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()",
    ]
