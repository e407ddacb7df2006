"""People of an organisation at the same moment. Each test has a control that shows what happens without the guard."""

import threading
from contextlib import suppress

import pytest
from django.contrib.auth.models import User
from django.db import connection

from contest.changes.exceptions import NotPossible
from contest.helpers import invitations, one_time_codes
from contest.helpers.invitations import come_in, give_role, invite
from contest.helpers.one_time_codes import begin, confirm, is_right
from contest.models import Invitation, Membership, OneTimeKey, Organisation
from contest.models.organisations import own_organisation
from tests.accounts import an_account

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]

ROLE = Membership.Role
PASSWORD = "hay-and-tanbark"


@pytest.fixture
def meet():
    """Waits for the other one at the same place, or for a second where the other waits for their turn."""
    meeting = threading.Barrier(2)

    def wait():
        with suppress(threading.BrokenBarrierError):
            meeting.wait(timeout=1)

    return wait


def after(module, name, meet, monkeypatch):
    """Let both come to the end of a function before either goes on."""
    function = getattr(module, name)

    def met(*args):
        answer = function(*args)
        meet()
        return answer

    monkeypatch.setattr(module, name, met)


def at_once(*works):
    """What came of each, done at the same moment: its answer, or why it was not possible."""
    came: dict[int, object] = {}

    def run(number, work):
        try:
            came[number] = work()
        except NotPossible as problem:
            came[number] = problem
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=one) for one in enumerate(works)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return [came[number] for number in range(len(works))]


def refused(came):
    return [isinstance(one, NotPossible) for one in came].count(True)


class TestOwners:
    @pytest.fixture
    def demote(self, meet, monkeypatch):
        """Two owners make each other less at once; each looks whether an owner stays before either writes."""
        members = [an_account(name).membership for name in ("Ann", "Ben")]
        after(invitations, "must_leave_an_owner", meet, monkeypatch)
        return lambda: at_once(
            lambda: give_role(members[0], ROLE.ALL, [], "Ben"), lambda: give_role(members[1], ROLE.ALL, [], "Ann")
        )

    def test_who_demote_each_other_at_once_leave_one(self, demote):
        assert refused(demote()) == 1
        assert Membership.objects.filter(role=ROLE.OWNER).count() == 1

    def test_control_without_taking_turns_none_stays(self, demote, monkeypatch):
        monkeypatch.setattr(invitations, "take_accounts", list)
        assert refused(demote()) == 0
        assert not Membership.objects.filter(role=ROLE.OWNER).exists()


class TestInvitation:
    @pytest.fixture
    def both_come(self, meet, monkeypatch):
        organisation = Organisation.objects.get(pk=own_organisation())
        secret = invite(organisation, ROLE.ALL, "Ann")
        after(invitations, "invitation_of", meet, monkeypatch)
        return lambda: at_once(lambda: come_in(secret, "Ada", PASSWORD), lambda: come_in(secret, "Eve", PASSWORD))

    def test_used_twice_at_once_lets_one_in(self, both_come):
        assert refused(both_come()) == 1
        assert User.objects.count() == 1

    def test_control_without_using_it_up_both_are_in(self, both_come, monkeypatch):
        monkeypatch.setattr(Invitation.objects, "filter", self.used_up_by_nobody(Invitation.objects.filter))
        assert refused(both_come()) == 0
        assert User.objects.count() == 2

    def used_up_by_nobody(self, filter_rows):
        """A `delete` that says that it deleted, and does not."""

        def filtered(*args, **kwargs):
            rows = filter_rows(*args, **kwargs)
            rows.delete = lambda: (1, {})
            return rows

        return filtered


class TestCode:
    @pytest.fixture
    def twice(self, meet, monkeypatch):
        """One code, sent from two devices at once; each looks what it is of before either uses it up."""
        user = an_account("Ann")
        begin(user)
        confirm(user)
        after(one_time_codes, "step_of", meet, monkeypatch)
        monkeypatch.setattr(one_time_codes, "step_of", self.of_step_17(one_time_codes.step_of))
        return lambda: at_once(lambda: is_right(user, "123456"), lambda: is_right(user, "123456"))

    def of_step_17(self, step_of):
        def seventeen(*args):
            step_of(*args)
            return 17

        return seventeen

    def test_sent_twice_at_once_counts_once(self, twice):
        assert sorted(twice()) == [False, True]
        assert OneTimeKey.objects.get().last_step == 17

    def test_control_without_the_lock_it_counts_twice(self, twice, monkeypatch):
        monkeypatch.setattr(OneTimeKey.objects, "select_for_update", OneTimeKey.objects.all)
        assert twice() == [True, True]
