"""What is typed on the way in."""

from __future__ import annotations

from typing import Any, Self

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.helpers.codes import duty_of
from contest.helpers.joining import tidy
from contest.models import Contest, EventCode, JoinCode, Membership
from contest.models.helpers import NAME_LENGTH
from contest.models.outline import TEXT_LENGTH
from contest.web.form_fields import choice_field, row_field


class WayInForm(forms.Form):
    """Puts the cursor where something is to be typed: into the first input, or the first that was refused."""

    def focus(self) -> Self:
        refused = [name for name in self.fields if name in self.errors]
        first = refused or [name for name in self.fields if not self[name].value()] or list(self.fields)
        self.fields[first[0]].widget.attrs["autofocus"] = True
        return self


class JoinForm(WayInForm):
    name = forms.CharField(
        label=gettext_lazy("Your name"),
        max_length=NAME_LENGTH,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
    )
    code = forms.CharField(
        label=gettext_lazy("Join code"),
        max_length=40,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "class": "code",
            }
        ),
    )

    def clean_name(self) -> str:
        return tidy(self.cleaned_data["name"])

    def clean_code(self) -> JoinCode | EventCode:
        """What the code that was typed lets into."""
        duty = duty_of(self.cleaned_data["code"])
        if duty is None:
            raise forms.ValidationError(_("That is not a join code. The superintendent has it."))
        return duty


class SignInForm(WayInForm):
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=NAME_LENGTH,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "username",
                "autocapitalize": "none",
                "spellcheck": "false",
            }
        ),
    )
    password = forms.CharField(
        label=gettext_lazy("Password"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


def one_time_code_field() -> forms.CharField:
    """Digits, or a recovery code: so it is no number, and phones still offer what an app or a message has."""
    return forms.CharField(
        label=gettext_lazy("One-time code"),
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )


class CodeForm(WayInForm):
    """What is asked for after the password."""

    code = one_time_code_field()


class PasswordAndCodeForm(forms.Form):
    """What changes to one's own one-time codes need."""

    now = forms.CharField(
        label=gettext_lazy("Your password"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    code = one_time_code_field()


class AddAccountForm(forms.Form):
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=NAME_LENGTH,
        help_text=gettext_lazy("What they sign in as, and what the trail says."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )

    def clean_name(self) -> str:
        return tidy(self.cleaned_data["name"])


class OrganisationForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("What it is called"), max_length=TEXT_LENGTH)
    first = forms.CharField(
        label=gettext_lazy("What yours is called"),
        max_length=TEXT_LENGTH,
        help_text=gettext_lazy("It has had no name so far, as it was alone."),
    )

    def __init__(self, *args: Any, first_is_named: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if first_is_named:
            del self.fields["first"]


class InviteForm(forms.Form):
    role = forms.ChoiceField(label=gettext_lazy("What they may do"), choices=Membership.Role, initial="all")


class RoleForm(InviteForm):
    contests: forms.ModelMultipleChoiceField[Any] = forms.ModelMultipleChoiceField(
        queryset=None,
        label=gettext_lazy("Which, where they may only some"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        row_field(self, "contests").queryset = Contest.objects.all()


def new_password_field(label: Any) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=200,
        strip=False,
        help_text=gettext_lazy("At least 12 characters, and none that everybody tries first."),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class KnownComeInForm(AddAccountForm):
    """What whoever is invited, and shows with single sign-on who they are, is asked for."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].help_text = _("What you sign in as, and what the trail says.")


class ComeInForm(KnownComeInForm):
    password = new_password_field(gettext_lazy("Password"))


class OwnPasswordForm(forms.Form):
    now = forms.CharField(
        label=gettext_lazy("The one you have now"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    new = new_password_field(gettext_lazy("The new one"))


class AddressesForm(forms.Form):
    """Which of this laptop's addresses is handed out, "" for the likeliest, and where families read results at home."""

    hall = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    public = forms.CharField(
        label=gettext_lazy("Public address of the results"), required=False, max_length=TEXT_LENGTH
    )

    def __init__(self, *args: Any, hosts: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "hall").choices = [("", _("The likeliest one")), *hosts]
