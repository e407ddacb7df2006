"""The same from the terminal: superintendents and join codes."""

import io
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from contest.helpers.codes import SHARED, codes_of
from contest.management.commands import superintendent as command
from contest.models import Duty
from tests.factories import a_contest
from tests.trails import last_of

pytestmark = pytest.mark.django_db

PASSWORD = "hay-bale-sunrise"


def run(*arguments):
    said = io.StringIO()
    call_command(*arguments, stdout=said)
    return said.getvalue()


class TestSuperintendent:
    @pytest.fixture
    def typed(self, monkeypatch):
        """What is typed: a line from standard input, or at a terminal each answer in turn."""

        def answers(*lines, terminal=False):
            waiting = list(lines)
            monkeypatch.setattr(
                command.sys, "stdin", SimpleNamespace(isatty=lambda: terminal, readline=lambda: lines[0] + "\n")
            )
            monkeypatch.setattr(command, "getpass", lambda _prompt: waiting.pop(0))

        return answers

    def test_a_line_from_standard_input_is_the_password(self, typed):
        typed(PASSWORD)
        assert run("superintendent", " Sue  Bee ") == "Sue Bee can sign in now\n"
        assert User.objects.get(username="Sue Bee").check_password(PASSWORD)

    def test_at_a_terminal_it_is_asked_for_twice(self, typed):
        typed(PASSWORD, PASSWORD, terminal=True)
        run("superintendent", "Sue")
        assert User.objects.get().check_password(PASSWORD)

    def test_two_that_differ_change_nothing(self, typed):
        typed(PASSWORD, PASSWORD + "x", terminal=True)
        with pytest.raises(CommandError, match="the two passwords differ"):
            run("superintendent", "Sue")
        assert not User.objects.exists()

    def test_it_sets_a_new_password(self, typed):
        typed(PASSWORD)
        run("superintendent", "Sue")
        typed("another-good-one")
        assert run("superintendent", "sue") == "sue has a new password\n"
        assert User.objects.get().check_password("another-good-one")

    @pytest.mark.parametrize(("weak", "why"), [("", "too short"), ("7 chars", "too short"), ("password1", "common")])
    def test_a_password_that_is_easy_to_guess_is_refused(self, typed, weak, why):
        typed(weak)
        with pytest.raises(CommandError, match=f"nothing was changed: .*{why}"):
            run("superintendent", "Sue")
        assert not User.objects.exists()

    @pytest.mark.parametrize("name", ["", "  ", "x" * 61])
    def test_a_name_that_cannot_be_is_refused(self, typed, name):
        typed(PASSWORD)
        with pytest.raises(CommandError, match="1 to 60 characters"):
            run("superintendent", name)


class TestJoinCodes:
    def test_it_prints_a_line_for_each_duty(self):
        contest = a_contest()
        lines = run("join_codes", str(contest.pk)).splitlines()
        assert lines == [f"{code}  {duty.label}" for duty, code in codes_of(contest).items()]

    def test_it_renews_one_on_request(self):
        contest = a_contest()
        before = codes_of(contest)
        said = run("join_codes", str(contest.pk), "--new", "keys", "--by", "Sue")
        after = codes_of(contest)
        assert {duty for duty in SHARED if before[duty] != after[duty]} == {Duty.KEYS}
        assert after[Duty.KEYS] in said
        assert last_of(contest).by == "Sue"

    def test_an_unknown_contest_is_named_with_those_there_are(self):
        contest = a_contest()
        with pytest.raises(CommandError, match=rf"no contest 4711. Contests here:\n{contest.pk}  {contest.name}"):
            run("join_codes", "4711")

    def test_an_unknown_duty_is_refused(self):
        with pytest.raises(CommandError, match="invalid choice"):
            run("join_codes", str(a_contest().pk), "--new", "cook")
