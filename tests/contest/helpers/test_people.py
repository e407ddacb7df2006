"""Where several organisations share a machine: who is let into one, and what each may do."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from contest.changes.exceptions import NotPossible
from contest.helpers.invitations import come_in, give_role, invite, make_organisation
from contest.helpers.superintendents import set_password, switch_off
from contest.models import Invitation, Membership, Organisation
from contest.models.organisations import Reach, own_organisation, reaching
from contest.trail import note, sentence
from tests.accounts import an_account, signed_in
from tests.factories import a_contest
from tests.pages import html_in
from tests.trails import trail_of

pytestmark = pytest.mark.django_db

ROLE = Membership.Role
PASSWORD = "hay-and-tanbark"


@pytest.fixture
def theirs():
    own_organisation()
    return Organisation.objects.create(name="Quill Creek")


@pytest.fixture
def owner(theirs):
    return signed_in("Quentin", organisation=theirs.pk)


def link_made(client, role=ROLE.ALL):
    page = html_in(client.post("/superintendents/invite/", {"role": role, "submission": uuid4()}))
    return re.search(r"http://testserver(/invited/[\w-]+/)", page)[1]


def test_the_only_organisation_is_told_of_nowhere(superintendent):
    for address in ("/", "/superintendents/"):
        page = html_in(superintendent.get(address))
        assert "nvit" not in page
        assert "every contest" not in page
    assert "Whoever has an account may do everything" in page


class TestInvitation:
    def test_a_link_lets_one_person_in_once(self, owner, theirs):
        link = link_made(owner)
        guest = Client()
        assert "Quill Creek" in html_in(guest.get(link))
        assert guest.post(link, {"name": "Ada", "password": PASSWORD}).url == "/"
        member = Membership.objects.get(user__username="Ada")
        assert (member.organisation_id, member.role) == (theirs.pk, ROLE.ALL)
        assert "Ada" in html_in(guest.get("/"))
        for method in ("get", "post"):
            again = getattr(Client(), method)(link, {"name": "Eve", "password": PASSWORD})
            assert again.status_code == 404
        assert not User.objects.filter(username="Eve").exists()
        assert [entry.what for entry in trail_of(None)][-2:] == ["account made", "account made by an invitation"]

    def test_a_helper_who_is_invited_leaves_the_contest(self, theirs, as_helper):
        helper = as_helper(a_contest(), "tabulator")
        secret = invite(theirs, ROLE.ALL, "Quentin")
        assert helper.post(f"/invited/{secret}/", {"name": "Ada", "password": PASSWORD}).status_code == 302
        helper.helper.refresh_from_db()
        assert helper.helper.left_at is not None

    def test_it_is_kept_as_a_digest_alone(self, theirs):
        secret = invite(theirs, ROLE.OWNER, "Quentin")
        assert secret not in str(Invitation.objects.values().get())
        assert all(secret not in str((entry.before, entry.after)) for entry in trail_of(None))

    def test_it_ends_after_a_week(self, owner):
        link = link_made(owner)
        with time_machine.travel(timezone.now() + timedelta(days=7, minutes=1)):
            assert Client().get(link).status_code == 404
        with time_machine.travel(timezone.now() + timedelta(days=6, hours=23)):
            assert Client().get(link).status_code == 200

    def test_whoever_guesses_is_slowed_down(self):
        answers = [Client().get(f"/invited/guess{number}/").status_code for number in range(21)]
        assert answers == [*[404] * 20, 429]

    def test_a_name_that_somebody_has_is_refused_and_the_link_stays_good(self, owner, theirs):
        link = link_made(owner)
        refused = Client().post(link, {"name": "quentin", "password": PASSWORD})
        assert refused.status_code == 422
        assert User.objects.get(username="Quentin").check_password(PASSWORD) is False
        assert Client().post(link, {"name": "Ada", "password": "password1234"}).status_code == 422
        assert Client().get(link).status_code == 200

    def test_used_twice_at_once_it_lets_one_in(self, theirs):
        secret = invite(theirs, ROLE.ALL, "Quentin")
        come_in(secret, "Ada", PASSWORD)
        with pytest.raises(NotPossible, match="used already"):
            come_in(secret, "Eve", PASSWORD)

    def test_only_an_owner_invites(self, theirs):
        client = signed_in("Ada", organisation=theirs.pk, role=ROLE.ALL)
        assert client.post("/superintendents/invite/", {"role": "owner", "submission": uuid4()}).status_code == 404


class TestRole:
    def test_an_owner_says_which_contests_somebody_may(self, owner, theirs):
        foreign = a_contest()
        with reaching(Reach(theirs.pk)):
            mine, other = a_contest(), a_contest()
        ada = an_account("Ada", theirs.pk, ROLE.ALL)
        at = f"/superintendents/{ada.pk}/role/"
        page = html_in(owner.get(at))
        assert f'value="{mine.pk}"' in page
        assert f'value="{foreign.pk}"' not in page
        form = {"role": "some", "contests": [mine.pk], "submission": uuid4()}
        assert owner.post(at, form).status_code == 302
        client = Client()
        client.force_login(ada)
        assert client.get(f"/contests/{mine.pk}/").status_code == 200
        assert client.get(f"/contests/{other.pk}/").status_code == 404
        assert owner.post(at, {**form, "contests": [foreign.pk], "submission": uuid4()}).status_code == 422
        assert trail_of(None)[-1].what == "what somebody may do changed: some contests"

    def test_the_last_owner_stays_one(self, owner, theirs):
        member = Membership.objects.get(user__username="Quentin")
        with pytest.raises(NotPossible, match="last account"):
            give_role(member, ROLE.ALL, [], "Quentin")
        with pytest.raises(NotPossible, match="last account"):
            switch_off(member.user, "Quentin")
        an_account("Ada", theirs.pk)
        give_role(member, ROLE.ALL, [], "Ada")
        assert Membership.objects.get(pk=member.pk).role == ROLE.ALL

    def test_nobody_has_a_say_in_another_organisation(self, owner, superintendent):
        ours = User.objects.get(username="superintendent")
        for what in ("role", "password", "off"):
            answer = owner.post(f"/superintendents/{ours.pk}/{what}/", {"submission": uuid4(), "role": "all"})
            assert answer.status_code == 404, what
        assert "superintendent</bdi>" not in html_in(owner.get("/superintendents/"))

    def test_an_owner_has_no_say_in_who_runs_the_machine(self, theirs):
        root, sue = an_account("Root", is_superuser=True), signed_in("Sue")
        for what in ("role", "password", "off"):
            answer = sue.post(f"/superintendents/{root.pk}/{what}/", {"submission": uuid4(), "role": "all"})
            assert answer.status_code == 404, what

    def test_the_machine_keeps_an_administrator(self, theirs):
        root = an_account("Root", is_superuser=True)
        an_account("Sue")
        with pytest.raises(NotPossible, match="runs the machine"):
            switch_off(root, "Sue")


class TestOrganisation:
    def test_a_command_makes_one_and_invites_its_owner(self, superintendent, capsys):
        call_command("organisation", "Quill Creek", first="Harrow Creek")
        (link,) = re.findall(r"/invited/[^/]+/", capsys.readouterr().out)
        guest = Client()
        assert guest.post(link, {"name": "Quentin", "password": PASSWORD}).status_code == 302
        assert "Quill Creek" in html_in(guest.get("/"))
        assert "Harrow Creek" in html_in(superintendent.get("/"))
        assert "Harrow Creek" not in html_in(guest.get("/superintendents/"))

    @pytest.mark.parametrize(("name", "first"), [("Quill Creek", ""), ("", "Harrow"), ("harrow", "Harrow")])
    def test_each_has_a_name_of_its_own(self, name, first):
        with pytest.raises(CommandError):
            call_command("organisation", name, first=first)
        assert Organisation.objects.count() <= 1

    def test_the_first_account_of_a_command_runs_the_machine_and_no_other(self):
        secret = make_organisation("Quill Creek", "Harrow Creek", "terminal")
        come_in(secret, "Ada", PASSWORD)
        set_password("Sue", PASSWORD, "terminal")
        set_password("Bob", PASSWORD, "terminal")
        assert [*User.objects.filter(is_superuser=True)] == [User.objects.get(username="Sue")]


class TestPage:
    AT = "/organizations/"

    @pytest.fixture
    def root(self):
        return signed_in("Root", is_superuser=True)

    def test_whoever_runs_the_machine_makes_one_and_sees_what_there_is(self, root):
        assert "several clubs can share" in html_in(root.get("/superintendents/"))
        form = {"name": "Quill  Creek", "first": "Harrow Creek", "submission": uuid4()}
        page = html_in(root.post(self.AT, form))
        (link,) = re.findall(r"http://testserver(/invited/[^/]+/)", page)
        assert "/invited/" not in html_in(root.post(self.AT, form))  # a second click
        assert Client().post(link, {"name": "Quentin", "password": PASSWORD}).status_code == 302
        a_contest()
        page = html_in(root.get(self.AT))
        assert "Quill Creek" in page
        assert [(row.name, row.people, row.contests) for row in root.get(self.AT).context["organisations"]] == [
            ("Harrow Creek", 1, 1),
            ("Quill Creek", 1, 0),
        ]

    def test_a_name_that_is_taken_is_refused(self, root):
        form = {"name": "harrow", "first": "Harrow", "submission": uuid4()}
        assert root.post(self.AT, form).status_code == 409
        assert root.post(self.AT, {"name": "", "submission": uuid4()}).status_code == 422

    def test_an_owner_who_would_run_it_no_more_makes_none(self, superintendent):
        assert superintendent.get(self.AT).status_code == 200
        form = {"name": "Quill Creek", "first": "Harrow Creek", "submission": uuid4()}
        assert superintendent.post(self.AT, form).status_code == 404


class TestTrail:
    def test_owners_see_what_is_about_their_organisation_alone(self, owner, theirs):
        ours, root = signed_in("Sue"), signed_in("Root", is_superuser=True)
        set_password("Sue", PASSWORD, "terminal")
        ours = Client()
        ours.post("/sign-in/", {"name": "Sue", "password": PASSWORD})
        link = link_made(owner)
        Client().post(link, {"name": "Ada", "password": PASSWORD})
        for name in ("Sue", "Ada"):
            Client().post("/sign-in/", {"name": name, "password": "wrong"})
        entries = {entry.revision: entry for entry in trail_of(None)}
        told = {revision: (entry.by, (entry.after or {}).get("person")) for revision, entry in entries.items()}
        of_sue = {revision for revision, names in told.items() if "Sue" in names}
        shown = {client: self.shown_to(client) for client in (ours, owner, root)}
        assert shown[ours] == of_sue
        assert shown[owner] == set(entries) - of_sue
        assert shown[root] == set(entries)
        assert "It ends at revision" not in html_in(owner.get("/trail/"))
        assert "Sue" not in html_in(owner.get("/trail/"))
        for revision in entries:
            assert owner.get(f"/trail/{revision}/").status_code == (404 if revision in of_sue else 200)

    def shown_to(self, client):
        return {entry.revision for entry in client.get("/trail/").context["entries"]}

    def test_whoever_may_every_contest_sees_none_of_it(self, theirs):
        client = signed_in("Ada", organisation=theirs.pk, role=ROLE.ALL)
        assert client.get("/trail/").status_code == 404

    def test_what_was_done_with_a_contest_is_its_organisations(self, owner, theirs):
        with reaching(Reach(theirs.pk)):
            contest = a_contest()
        note("Ann", sentence("trail_fetched"), contest)
        note("Ann", sentence("trail_fetched"), a_contest())
        assert len(self.shown_to(owner)) == 1
