"""The hidden id that every form which changes something carries; see contest.web.submissions."""

from uuid import uuid4

from django import template

register = template.Library()


@register.inclusion_tag("contest/_submission.html")
def submission():
    return {"submission": uuid4()}
