"""A plugin of pytest: the module that MUTANT names is loaded with its mutant in it."""

import os
import sys
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader

import pytest

from tests.mutants.making import Mutant
from tests.mutants.running import only_look_for_a_failure

path, node, way = os.environ["MUTANT"].split("|")
mutant = Mutant(path, 0, "", int(node), int(way), "")


class Loader(SourceFileLoader):
    def get_code(self, fullname):
        return mutant.code()


class Finder(MetaPathFinder):
    def find_spec(self, fullname, within, target=None) -> ModuleSpec | None:
        spec = PathFinder.find_spec(fullname, within)
        if spec and spec.origin == os.path.abspath(path):
            spec.loader = Loader(fullname, spec.origin)
            return spec
        return None


sys.meta_path.insert(0, Finder())


@pytest.hookimpl(trylast=True)
def pytest_configure():
    only_look_for_a_failure()
