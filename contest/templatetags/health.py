"""What every page of the superintendent says of the machine it runs on."""

from typing import Any

from django import template

from contest.access import runs_the_machine
from contest.health.banner import Banner, banner

register = template.Library()


@register.simple_tag(takes_context=True)
def health(context: dict[str, Any]) -> Banner | None:
    """The banner for whoever runs the machine; None for everybody else."""
    request = context.get("request")
    return banner() if runs_the_machine(getattr(request, "membership", None)) else None
