"""Figures in columns: the points stand below each other."""

from types import SimpleNamespace

import pytest
from django.template import Context, Template

COLUMN = "{% load figures %}{% for row in rows %}{% short row.total rows 'total' %} {% endfor %}"


@pytest.mark.parametrize(
    ("totals", "short"),
    [
        (["421", "394.5", "379.25"], "3 1 0 "),
        (["421", "394,5", "379,25"], "3 1 0 "),
        (["421", "394"], "0 0 "),
        (["43.5", "", None], "0 2 2 "),
    ],
)
def test_a_figure_is_set_in_by_what_it_is_shorter_than_the_longest_of_its_column(totals, short):
    rows = [SimpleNamespace(total=total) for total in totals]
    assert Template(COLUMN).render(Context({"rows": rows})) == short
