"""The planner and the fairness figures stand on Python alone."""

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    "module", ["reasons.planning", "reasons.planning.from_record", "reasons.planning.child", "reasons.fairness"]
)
def test_it_loads_no_django(module):
    code = f"import sys, {module}; print({{name.split('.')[0] for name in sys.modules}} & {{'django', 'numpy'}})"
    assert subprocess.check_output([sys.executable, "-c", code], text=True).strip() == "set()"
