"""What every page of the superintendent says of the machine it runs on."""

from typing import Any

from django import template

from contest.health.banner import Banner, banner

register = template.Library()


@register.simple_tag(takes_context=True)
def health(context: dict[str, Any]) -> Banner | None:
    """The banner for the superintendent; None for everybody else."""
    request = context.get("request")
    return banner() if request is not None and getattr(request, "is_superintendent", False) else None
