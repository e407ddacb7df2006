"""The hidden id that every form which changes something carries; see contest.web.submissions."""

from uuid import UUID, uuid4

from django import template

register = template.Library()


@register.inclusion_tag("contest/_submission.html")
def submission() -> dict[str, UUID]:
    return {"submission": uuid4()}
