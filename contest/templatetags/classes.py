"""What templates say of a class's animals."""

from django import template

from scoring.core.placing import cut_names

register = template.Library()


@register.filter
def pair_names(animals: str) -> list[str]:
    """`{{ judged.animals|pair_names }}`: what its neighbouring pairs are called, the best first."""
    return cut_names(len(animals))
