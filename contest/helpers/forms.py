"""What is typed on the way in."""

from django import forms

from contest.helpers.codes import duty_of
from contest.helpers.coming_and_going import tidy
from contest.models.helpers import NAME_LENGTH


class JoinForm(forms.Form):
    name = forms.CharField(
        label="Your name",
        max_length=NAME_LENGTH,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false", "autofocus": True}),
    )
    code = forms.CharField(
        label="Join code",
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

    def clean_name(self):
        return tidy(self.cleaned_data["name"])

    def clean_code(self):
        """The JoinCode that was typed."""
        found = duty_of(self.cleaned_data["code"])
        if found is None:
            raise forms.ValidationError("That is not a join code. The superintendent has it.")
        return found


class SignInForm(forms.Form):
    name = forms.CharField(
        label="Name",
        max_length=NAME_LENGTH,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "username",
                "autocapitalize": "none",
                "spellcheck": "false",
                "autofocus": True,
            }
        ),
    )
    password = forms.CharField(
        label="Password",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
