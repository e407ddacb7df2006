"""What DEVELOPERS.md names is there: its walks name a file and a function at each step."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
WALKS = TEXT[TEXT.index("## Three walks through the house") : TEXT.index("## How a change is made")]
STEP = re.compile(r"`([\w/]+)(\.py)?: (\w+)`")
SHORT = ("", "contest", "scoring", "reasons")
"""A path may leave out the app that the walk is in."""


def names_in(path):
    return {node.name for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if hasattr(node, "name")}


@pytest.mark.parametrize("step", STEP.findall(WALKS), ids=":".join)
def test_every_step_of_the_walks_is_where_it_is_said_to_be(step):
    path, ending, name = step
    files = [ROOT / app / (f"{path}.py" if ending else f"{path}/__init__.py") for app in SHORT]
    (file,) = [file for file in files if file.exists()]
    assert name in names_in(file)


def test_every_path_named_is_there():
    named = re.findall(r"`((?:contest|scoring|reasons|tests|templates|static|fixtures)/[\w/.-]+)`", TEXT)
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_the_walks_have_steps():
    assert len(STEP.findall(WALKS)) > 30
