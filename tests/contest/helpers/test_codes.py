"""Join codes: one for each duty of a contest."""

import pytest

from contest.helpers import codes
from contest.helpers.codes import codes_of, duty_of, new_code, renew_code
from contest.models import Duty, JoinCode
from tests.factories import a_contest
from tests.trails import last_of


def test_codes_differ_and_hold_nothing_that_looks_alike():
    made = {new_code() for _ in range(200)}
    assert len(made) == 200
    assert not set("".join(made)) & set("01258OILU")
    assert all([len(three) for three in code.split("-")] == [3, 3, 3] for code in made)


def test_no_day_of_guesses_hits_one_by_more_than_one_chance_in_seven_hundred():
    """As `contest.helpers.throttling` works it out: a thousand guesses a second all day, ten contests, each of six
    duties and six tablets in reasons rooms."""
    assert 1000 * 24 * 3600 * 10 * (len(codes.SHARED) + 6) / len(codes.ALPHABET) ** codes.LENGTH < 1 / 700


@pytest.mark.django_db
class TestCodes:
    def test_each_duty_has_one_that_stays(self, django_assert_num_queries):
        contest = a_contest()
        first = codes_of(contest)
        assert list(first) == codes.SHARED
        assert len(set(first.values())) == len(codes.SHARED)
        with django_assert_num_queries(1):
            assert codes_of(contest) == first

    def test_what_is_missing_is_made_and_the_rest_left_alone(self):
        contest = a_contest()
        first = codes_of(contest)
        contest.join_codes.filter(duty=Duty.KEYS).delete()
        second = codes_of(contest)
        assert {duty for duty in codes.SHARED if first[duty] != second[duty]} == {Duty.KEYS}

    def test_a_code_leads_to_one_duty_of_one_contest(self):
        contest, other = a_contest(), a_contest()
        codes_of(other)
        found = duty_of(codes_of(contest)[Duty.REASONS])
        assert (found.contest, found.duty) == (contest, Duty.REASONS)
        assert duty_of("AAA-AAA-AAA") is None
        assert duty_of("") is None

    @pytest.mark.parametrize("typed", ["ABC-DEF-GHJ", "abc def ghj", "abcdefghj", "ABCD_EFGHJ"])
    def test_a_code_leads_there_however_it_is_typed(self, typed):
        contest = a_contest()
        codes_of(contest)
        contest.join_codes.filter(duty=Duty.KEYS).update(code="ABC-DEF-GHJ")
        assert duty_of(typed).duty == Duty.KEYS

    def test_a_new_one_ends_the_old_and_is_on_the_trail_without_the_code(self):
        contest = a_contest()
        old = codes_of(contest)[Duty.KEYS]
        new = renew_code(contest, Duty.KEYS, by="Sue")
        assert new != old
        assert duty_of(old) is None
        assert duty_of(new).duty == Duty.KEYS
        entry = last_of(contest)
        assert (entry.by, entry.what, entry.before, entry.after) == ("Sue", "join code of keys renewed", None, None)

    def test_making_them_is_no_change_of_the_contest(self):
        contest = a_contest()
        codes_of(contest)
        assert contest.trail.count() == 1

    def test_the_database_itself_refuses_the_same_code_twice(self, monkeypatch):
        monkeypatch.setattr(codes, "new_code", lambda: "AAAA-AAAA")
        with pytest.raises(Exception, match=r"(?i)unique"):
            codes_of(a_contest())
        assert not JoinCode.objects.exists()
