"""Django's own widgets, the commonest of them written without a template.

A page of fifty doubts has three hundred fields, and a template takes ten times as long for each.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.forms.utils import flatatt
from django.http import HttpRequest
from django.utils.html import format_html, format_html_join


class QuickWidgets(DjangoTemplates):
    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        written = WRITTEN.get(template_name.removeprefix(FOLDER))
        return written(context["widget"]) if written else super().render(template_name, context, request)


def _input(widget: dict[str, Any]) -> str:
    named = {"type": widget["type"], "name": widget["name"], "value": widget["value"]}
    return format_html("<input{}>", flatatt(named | widget["attrs"]))


def _select(widget: dict[str, Any]) -> str:
    groups = format_html_join("", "{}", ((_group(name, options),) for name, options, _ in widget["optgroups"]))
    return format_html("<select{}>{}\n</select>", flatatt({"name": widget["name"]} | widget["attrs"]), groups)


def _group(name: str | None, options: list[dict[str, Any]]) -> str:
    lines = ((flatatt({"value": str(one["value"])} | one["attrs"]), one["label"]) for one in options)
    said = format_html_join("", "\n  <option{}>{}</option>\n", lines)
    return format_html('\n  <optgroup label="{}">{}\n  </optgroup>', name, said) if name else said


FOLDER = "django/forms/widgets/"
WRITTEN: dict[str, Callable[[dict[str, Any]], str]] = {
    "hidden.html": _input,
    "number.html": _input,
    "select.html": _select,
    "text.html": _input,
}
