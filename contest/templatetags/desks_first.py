"""A moment of a long page at which it lets desks go first."""

from django.template import Context, Library, Node
from django.template.base import Parser, Token

from contest.changes.desks_first import let_desks_go_first

register = Library()


class DesksFirst(Node):
    """Shows nothing."""

    def render(self, _context: Context) -> str:
        let_desks_go_first()
        return ""


@register.tag
def desks_first(_parser: Parser, _token: Token) -> DesksFirst:
    return DesksFirst()
