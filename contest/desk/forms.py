"""What a desk sends."""

from django import forms
from django.utils.translation import gettext_lazy as _

LARGEST_NUMBER = 2**31 - 1
LARGEST_KEY = 2**63 - 1
MOST_BACK = 2000
"""As many readings of one stack come back at once: more than anybody ever took back."""


class _Shared(dict[str, forms.Field]):
    """The fields of a form, which no single one changes: Django copies them for each, which takes as long as to look
    at what was sent."""

    def __deepcopy__(self, memo: object) -> "_Shared":
        return self


class ReadingForm(forms.Form):
    """One reading, or the wish to take one back; `by` is whom the laptop takes itself to belong to."""

    submission = forms.UUIDField()
    by = forms.CharField()


class CardForm(ReadingForm):
    class_number = forms.IntegerField(min_value=1, max_value=LARGEST_NUMBER)
    number = forms.IntegerField(
        min_value=1,
        max_value=LARGEST_NUMBER,
        error_messages={"max_value": _("no contestant has a number that long"), "min_value": _("numbers begin at 1")},
    )
    placing = forms.CharField(required=False)


CardForm.base_fields = _Shared(CardForm.base_fields)


class StackForm(ReadingForm):
    """All that was read of a group, to be taken back; or the keys of the readings that come back."""

    group = forms.CharField(required=False)
    readings = forms.JSONField(required=False)

    def clean_readings(self) -> list[int]:
        keys = self.cleaned_data["readings"]
        return [key for key in keys[:MOST_BACK] if _is_key(key)] if isinstance(keys, list) else []


def _is_key(key: object) -> bool:
    return isinstance(key, int) and 0 < key < LARGEST_KEY
