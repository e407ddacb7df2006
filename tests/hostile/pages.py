"""The forms that the site's own pages hold, as a browser would send them: what a hostile request is a mutation of."""

from dataclasses import dataclass
from html.parser import HTMLParser


@dataclass(frozen=True)
class Form:
    """Where a form goes, how, and what it would send untouched."""

    action: str
    method: str
    fields: tuple[tuple[str, str], ...]
    files: tuple[str, ...] = ()


def forms_of(html, address):
    reader = _Reader(address)
    reader.feed(html)
    return [Form(form["action"], form["method"], tuple(form["fields"]), tuple(form["files"])) for form in reader.forms]


class _Reader(HTMLParser):
    def __init__(self, address):
        super().__init__()
        self.address = address
        self.forms = []
        self.select = self.area = None

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "form":
            action = (given.get("action") or self.address).partition("#")[0]
            self.forms.append({"action": action, "method": given.get("method", "get"), "fields": [], "files": []})
        if not self.forms:
            return
        fields, name = self.forms[-1]["fields"], given.get("name")
        if tag in ("input", "button") and name:
            if given.get("type") == "file":
                self.forms[-1]["files"].append(name)
            else:
                fields.append((name, given.get("value") or ""))
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select:
            fields.append((self.select, given.get("value") or ""))
            self.select = None if "selected" in given else self.select
        elif tag == "textarea" and name:
            self.area = name
            fields.append((name, ""))

    def handle_endtag(self, tag):
        if tag == "select":
            self.select = None
        elif tag == "textarea":
            self.area = None

    def handle_data(self, data):
        if self.area and self.forms:
            self.forms[-1]["fields"][-1] = (self.area, data)
