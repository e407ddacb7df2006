"""What a desk sends."""

from django import forms
from django.utils.translation import gettext_lazy as _

LARGEST_NUMBER = 2**31 - 1


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


class StackForm(ReadingForm):
    """All that was read of a group, to be taken back; or the keys of the readings that come back."""

    group = forms.CharField(required=False)
    readings = forms.JSONField(required=False)

    def clean_readings(self) -> list[int]:
        keys = self.cleaned_data["readings"]
        return [key for key in keys if isinstance(key, int)] if isinstance(keys, list) else []
