"""What pages need to know of the language they are in."""

from django import template
from django.conf import settings
from django.urls import reverse
from django.utils.translation import get_language

from contest.language.catalogs import version_of

register = template.Library()


@register.simple_tag
def texts_address() -> str:
    """Where the browser finds the texts of our scripts in the page's language."""
    code = get_language() or settings.LANGUAGE_CODE
    return reverse("texts", args=[code, version_of(code)])


@register.simple_tag
def languages() -> list[tuple[str, str]]:
    """The languages that can be chosen, each as its code and its name in itself."""
    return list(settings.LANGUAGES)
