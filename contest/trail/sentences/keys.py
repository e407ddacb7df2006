"""Keys: entered, confirmed, and which of two entries is right."""

from scoring.core.texts import gettext_noop as _

SENTENCES: dict[str, str | tuple[str, str]] = {
    "key_entered": _("key of class {key_of}"),
    "key_typed_differently": _("key of class {key_of} typed differently"),
    "key_first_is_right": _("key of class {key_of}: the first entry is right, {reason}"),
    "key_accepted": _("key of class {key_of} accepted as one entry, {reason}"),
    "key_confirmed": _("key of class {key_of} confirmed"),
    "part_key_entered": _("key of {part}"),
    "part_key_typed_differently": _("key of {part} typed differently"),
    "part_key_first_is_right": _("key of {part}: the first entry is right, {reason}"),
    "part_key_accepted": _("key of {part} accepted as one entry, {reason}"),
    "part_key_confirmed": _("key of {part} confirmed"),
    "key_agreed": _("key of class {key_of} as its committee agreed"),
}
