"""Django's own widgets to the byte, the commonest of them written without a template.

A page of fifty doubts has three hundred fields, and a template takes twenty times as long for each.
"""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.safestring import SafeData


class QuickWidgets(DjangoTemplates):
    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        if template_name == NO_ERRORS and not context["errors"]:
            return ""
        written = WRITTEN.get(template_name.removeprefix(FOLDER))
        return written(context["widget"]) if written else super().render(template_name, context, request)


def _input(widget: dict[str, Any]) -> str:
    value = "" if widget["value"] is None else f' value="{_text(widget["value"])}"'
    return f'<input type="{_text(widget["type"])}" name="{_text(widget["name"])}"{value}{_attrs(widget)}>'


def _tick(widget: dict[str, Any]) -> str:
    if not widget.get("wrap_label"):
        return _input(widget)
    where = f' for="{_text(widget["attrs"]["id"])}"' if widget["attrs"].get("id") else ""
    return f"<label{where}>{_input(widget)}\n {_text(widget['label'])}</label>"


def _select(widget: dict[str, Any]) -> str:
    groups = "".join(_group(name, options) for name, options, _ in widget["optgroups"])
    return f'<select name="{_text(widget["name"])}"{_attrs(widget)}>{groups}\n</select>'


def _group(name: str | None, options: list[dict[str, Any]]) -> str:
    lines = "".join(
        f'\n  <option value="{_text(one["value"])}"{_attrs(one)}>{_text(one["label"])}</option>\n' for one in options
    )
    return f'\n  <optgroup label="{_text(name)}">{lines}\n  </optgroup>' if name else lines


def _attrs(widget: dict[str, Any]) -> str:
    return "".join(
        f" {_text(name)}" if value is True else f' {_text(name)}="{_text(value)}"'
        for name, value in widget["attrs"].items()
        if value is not False
    )


def _text(value: object) -> str:
    text = str(value)
    return text if isinstance(text, SafeData) else html.escape(text)


NO_ERRORS = "django/forms/errors/list/default.html"
FOLDER = "django/forms/widgets/"
WRITTEN: dict[str, Callable[[dict[str, Any]], str]] = {
    "checkbox.html": _input,
    "checkbox_option.html": _tick,
    "hidden.html": _input,
    "number.html": _input,
    "radio_option.html": _tick,
    "select.html": _select,
    "text.html": _input,
    "time.html": _input,
}
