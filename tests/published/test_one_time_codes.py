"""The test vectors of RFC 6238, appendix B (SHA-1): https://www.rfc-editor.org/rfc/rfc6238#appendix-B

Its codes have eight digits, ours the last six of them, as section 5.3 of RFC 4226 cuts them off at the left.
"""

import base64
from datetime import UTC, datetime

import pytest

from contest.helpers.one_time_codes import step_of

SECRET = base64.b32encode(b"12345678901234567890").decode()
VECTORS = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


@pytest.mark.parametrize(("seconds", "code"), VECTORS)
def test_each_code_is_of_its_half_minute(seconds, code):
    assert step_of(SECRET, code[2:], datetime.fromtimestamp(seconds, UTC)) == seconds // 30


@pytest.mark.parametrize("later", [-60, 60])
def test_none_is_of_a_minute_off(later):
    assert step_of(SECRET, "050471", datetime.fromtimestamp(1111111111 + later, UTC)) is None
