"""The exact interval of a share, beside SciPy's."""

import pytest
from scipy import stats

from scoring.core.binomial import exact_interval


@pytest.mark.parametrize("inside", [0.9, 0.95, 0.99])
@pytest.mark.parametrize(
    ("found", "of"), [(0, 1), (1, 1), (0, 30), (30, 30), (1, 30), (7, 412), (29, 10_000), (1500, 3000), (2999, 3000)]
)
def test_it_is_clopper_and_pearsons(found, of, inside):
    expected = stats.binomtest(found, of).proportion_ci(inside, method="exact")
    assert exact_interval(found, of, inside) == pytest.approx((expected.low, expected.high), rel=1e-9, abs=1e-12)
