"""Names that may be one person's."""

import pytest

from contest.entries.alike import may_be_one, pairs


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("Ann", "Lee"), ("Anne", "Lee")),  # a letter more
        (("Ann", "Lee"), ("Amn", "Lee")),  # another one
        (("Brain", "Hollow"), ("Brian", "Hollow")),  # two that changed places
        (("Lee", "Ann"), ("Ann", "Lee")),  # turned round
        (("Ann Lee", ""), ("Ann", "Lee")),
        (("William", "Ashdown"), ("Bill", "Ashdown")),
        (("Kate", "Ashdown"), ("Kathryn", "Ashdown")),
        (("W", "Ashdown"), ("Wilma", "Ashdown")),  # an initial
        (("Sebastian", "Ashdown"), ("Seb", "Ashdown")),
        (("José", "Núñez"), ("Jose", "Nunez")),  # accents
        (("ann", "LEE"), ("Ann", "Lee")),
    ],
)
def test_they_may_be_one(one, other):
    assert may_be_one(one, other)
    assert may_be_one(other, one)
    assert list(pairs([("Mary", "Elsewhere"), one, other])) == [(1, 2)]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("Ann", "Lee"), ("Ben", "Lee")),  # brother and sister
        (("Jo", "Lee"), ("Joan", "Lee")),
        (("Bill", "Ashdown"), ("Will", "Brookfield")),
        (("Ann", "Lee"), ("Ann", "Leigh")),
        (("", ""), ("", "")),
        (("", "Lee"), ("Ann", "Lee")),
        (("Ann", ""), ("Anna Maria", "")),
        (("abc", "xyz"), ("acb", "xzy")),
    ],
)
def test_they_are_two(one, other):
    assert not may_be_one(one, other)
    assert not may_be_one(other, one)


def test_many_are_looked_through_at_once():
    lasts = [chr(97 + place // 8) * 4 + chr(97 + place % 8) * 4 for place in range(60)]
    people = [(f"{first}a{first}", last) for last in lasts for first in "bdfhkl"]
    assert list(pairs([*people, ("bab", f"{lasts[-1]}x")])) == [(59 * 6, 60 * 6)]
