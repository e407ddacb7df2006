"""What is said without being marked as a text: `python -m tests.texts.unmarked contest/desk templates/contest/desk`.

Of templates it is known for sure; of Python it lists what looks like a text, for people to judge.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.texts.catalogs import KEYWORDS

MARKED = re.compile(r"{%-?\s*blocktrans(?:late)?\b.*?{%\s*endblocktrans(?:late)?\s*%}", re.S)
SKIPPED = re.compile(
    r"{#.*?#}|{%\s*comment\s*%}.*?{%\s*endcomment\s*%}|{%\s*block kind\s*%}.*?{%\s*endblock\s*%}|<!--.*?-->"
    r"|<(script|style|code|bdi)\b.*?</\1>",
    re.S | re.I,
)
"""Nothing in it is a text: notes for us, classes, and what a machine or people are called."""
TAG = re.compile(r"{%.*?%}|{{.*?}}", re.S)
READ_OUT = re.compile(
    r"""\b(?:aria-label|title|placeholder|alt|aria-description|data-(?:words?|label)[\w-]*)=("[^"]*"|'[^']*')"""
)
ELEMENT = re.compile(r"<[^<>]*>", re.S)
WORD = re.compile(r"[^\W\d_]{2,}")
NAMES = {"Tanbark", "bdi", "nbsp", "ndash", "middot", "times", "minus", "rarr", "larr", "amp", "shy", "hellip"}


def words_of(template: str) -> list[str]:
    """The words that people would read in English whatever their language."""
    text = SKIPPED.sub(" ", MARKED.sub(" ", template))
    text = TAG.sub(" ", text)
    read_out = [quoted[1:-1] for quoted in READ_OUT.findall(text)]
    shown = ELEMENT.sub(" ", text)
    return [word for part in (shown, *read_out) for word in WORD.findall(part) if word not in NAMES]


def likely_texts(source: str) -> Iterator[tuple[int, str]]:
    """Lines and strings of a Python module that look like texts and are given to no function that marks them."""
    tree = ast.parse(source)
    marked = {id(part) for part in _inside_of_marks(tree)} | {id(part) for part in _docstrings(tree)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str) or id(node) in marked:
            continue
        if re.search(r"[A-Za-z]{2,}[ ,.:;]+\S|^[A-Z][a-z]+$", node.value):
            yield node.lineno, node.value


def _inside_of_marks(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            if name in KEYWORDS:
                yield from ast.walk(node)


def _docstrings(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value


def main() -> None:
    for asked in map(Path, sys.argv[1:]):
        for path in [asked] if asked.is_file() else sorted([*asked.rglob("*.html"), *asked.rglob("*.py")]):
            text = path.read_text(encoding="utf-8")
            if path.suffix == ".html":
                if words := words_of(text):
                    print(f"{path}: {' '.join(words)}")
            else:
                for line, string in likely_texts(text):
                    print(f"{path}:{line}: {string}")


if __name__ == "__main__":
    main()
