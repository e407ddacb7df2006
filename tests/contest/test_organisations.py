"""One organisation sees nothing of another's, at any address of the site."""

from contextlib import nullcontext
from itertools import islice
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import resolve

from contest import access
from contest.bin.keeping import delete_contest
from contest.book import read_book, write_book
from contest.demo import DEMO_BOOK
from contest.models import BroughtFile, Contest, Event, Membership, Organisation, Permit, Practice, TermList
from contest.models.organisations import NOTHING, OwnedBy, Reach, WithinReach, reaching
from contest.practice.making import make_practice
from contest.practice.pictures import put_picture
from contest.practice.running import set_key
from contest.records import load_record
from scoring.events.changing import save_event
from scoring.library.keeping import keep
from scoring.models import LibraryPractice, Season
from scoring.season.changing import add_member, make_season
from tests.accounts import an_account, signed_in
from tests.addresses import addresses, values_of
from tests.bench.full_contest import make_full_contest
from tests.factories import a_contest
from tests.pages import html_in

pytestmark = pytest.mark.django_db

OURS, THEIRS = "Harrow", "Quill"
LEAVING = ("/leave/", "/sign-out/", "/sign-in/")
OWNED = {BroughtFile, Contest, Event, Practice, TermList, Season, LibraryPractice}


@pytest.fixture
def organisations():
    """Ours, which is the first, and theirs."""
    ours = Organisation.objects.order_by("pk").first() or Organisation.objects.create()
    return ours, Organisation.objects.create(name="Quill Creek 4-H")


def everything_of(organisation, called):
    """Something of each kind, every name of which begins with `called`; what each argument of an address can be."""
    with reaching(Reach(organisation.pk)):
        contest, other = make_full_contest(24, 8), a_contest()
        Contest.every.filter(pk__in=(contest.pk, other.pk)).update(name=f"{called} contest")
        for row in contest.contestants.all():
            contest.contestants.filter(pk=row.pk).update(last_name=f"{called}{row.number}")
        for number, judged in enumerate(contest.classes.all()):
            contest.classes.filter(pk=judged.pk).update(name=f"{called} steers {number}")
        for division in contest.divisions.all():
            for team in division.teams.all():
                division.teams.filter(pk=team.pk).update(name=f"{called} club {team.pk}")
        Contest.every.filter(pk=contest.pk).update(revision=contest.revision + 1)
        event = save_event(Event(name=f"{called} day"), [contest, other], None, "Sue")
        practice = make_practice(f"{called} heifers", "1234", 12, keeps=True, by="Sue")
        put_picture(practice.classes.get(), "3", "side", f"{called} steer", b"jpeg")
        set_key(practice.classes.get(), "3124", (2, 3, 4))
        practice.members.create(name=f"{called}ana")
        kept = keep(practice, f"{called} cattle", "Sue")
        season = make_season(f"{called} season", "Sue")
        member = add_member(season, 1, f"{called}bea", True, "Sue")
        TermList.objects.create(species=f"{called} species", words="longer")
        binned = a_contest()
        Contest.every.filter(pk=binned.pk).update(name=f"{called} binned")
        binned.refresh_from_db()
        delete_contest(binned, binned.name, "Sue")
    account = an_account(f"{called}-account", organisation.pk)
    more = {
        "practice": [practice.pk],
        "member": [practice.members.get().pk],
        "picture": [practice.classes.get().pictures.get().pk],
        "season": [season.pk],
        "season_member": [member.pk],
        "kept": [kept.pk],
        "event": [event.pk],
        "account": [account.pk],
    }
    contest.refresh_from_db()
    values = values_of(contest) | more
    return values | {"pk": [contest.pk, binned.pk]}


def asked(client, address, method):
    return getattr(client, method)(address, {"submission": uuid4()} if method == "post" else {})


def said(answer):
    body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return body.decode("utf-8", "replace")


def names_theirs(address):
    kwargs = resolve(address).kwargs
    return any(name in kwargs for name in ("pk", "event", "practice", "season", "kept", "account"))


def leaks_to(client, found, method, opens):
    """The addresses that say something of theirs, or open although they name what is theirs."""
    for address in dict.fromkeys(found):
        if address in LEAVING:
            continue
        answer = asked(client, address, method)
        view = resolve(address).func
        named = opens(address)
        if THEIRS in said(answer) and not getattr(view, "open_to_all", False):
            yield f"{address} says {THEIRS}"
        elif named and getattr(view, "open_to_all", False):
            as_a_stranger = asked(Client(), address, method)
            if answer.status_code != as_a_stranger.status_code:
                yield f"{address} is {answer.status_code}, to strangers {as_a_stranger.status_code}"
        elif named and answer.status_code not in (404, 405):
            yield f"{address} is {answer.status_code}"


def state_of(values):
    contest = Contest.every.get(pk=values["pk"][0])
    rows = [list(model.every.order_by("pk").values()) for model in OWNED - {Contest}]
    return contest.revision, load_record(contest.pk), rows, list(Contest.every.order_by("pk").values())


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.any_database
class TestEveryAddress:
    def test_none_tells_or_takes_anything_of_anothers(self, organisations, method):
        ours, theirs = organisations
        their_values = everything_of(theirs, THEIRS)
        client = signed_in(organisation=ours.pk)
        before = state_of(their_values)
        found = list(addresses(their_values))
        assert list(leaks_to(client, found, method, names_theirs)) == []
        assert state_of(their_values)[:2] == before[:2]

    def test_nor_where_only_what_is_below_a_contest_of_ours_is_theirs(self, organisations, method):
        ours, theirs = organisations
        their_values, our_values = everything_of(theirs, THEIRS), everything_of(ours, OURS)
        client = signed_in(organisation=ours.pk)
        before = state_of(their_values)
        mixed = their_values | {name: our_values[name] for name in ("pk", "event", "practice", "season", "kept")}
        mixed = mixed | {"account": [client_account(client)]}
        assert list(leaks_to(client, addresses(mixed), method, lambda address: False)) == []
        assert state_of(their_values)[:2] == before[:2]

    def test_a_control_without_the_wall(self, organisations, method, monkeypatch):
        ours, theirs = organisations
        their_values = everything_of(theirs, THEIRS)
        client = signed_in(organisation=ours.pk)
        monkeypatch.setattr(access, "reach", lambda wanted: None)
        monkeypatch.setattr(access, "reaching", lambda wanted: nullcontext())
        monkeypatch.setattr(access, "_is_strange", lambda *_: False)
        leaks = leaks_to(client, addresses(their_values), method, names_theirs)
        assert len(list(islice(leaks, 20))) == 20


def client_account(client):
    return int(client.session["_auth_user_id"])


class TestReach:
    def test_every_model_with_an_organisation_holds_it(self, organisations):
        owned = {model for model in apps.get_models() if any(isinstance(one, OwnedBy) for one in model._meta.fields)}
        assert owned == OWNED
        assert all(issubclass(type(model._default_manager), WithinReach) for model in owned)

    def test_what_is_made_is_of_whoever_makes_it(self, organisations):
        ours, theirs = organisations
        client = signed_in(organisation=theirs.pk)
        form = {"way": "empty", "empty-name": "Fall Classic", "submission": uuid4()}
        assert client.post("/contests/new/", form).status_code == 302
        assert Contest.every.get().organisation_id == theirs.pk
        assert Contest.objects.count() == 1  # a command sees all
        with reaching(Reach(ours.pk)):
            assert not Contest.objects.exists()

    @pytest.mark.django_db(transaction=True)
    def test_so_is_a_book_that_is_read_in_a_thread_of_its_own(self, organisations, tmp_path):
        _ours, theirs = organisations
        write_book(read_book(DEMO_BOOK), tmp_path / "book.zip")
        file = SimpleUploadedFile("book.zip", (tmp_path / "book.zip").read_bytes())
        client = signed_in(organisation=theirs.pk)
        answer = client.post("/contests/new/", {"way": "book", "book-book": file, "submission": uuid4()})
        assert answer.status_code == 302
        assert client.get(answer.url).status_code == 200
        assert Contest.every.get().organisation_id == theirs.pk

    def test_an_account_of_no_organisation_is_a_strangers(self):
        client = signed_in()
        contest = a_contest()
        Membership.objects.all().delete()
        assert client.get(f"/contests/{contest.pk}/").status_code == 404
        with reaching(NOTHING):
            assert not Contest.objects.exists()

    def test_an_address_with_a_key_that_no_row_can_have_is_not_found(self, superintendent):
        assert superintendent.get(f"/contests/{2**63}/").status_code == 404
        assert superintendent.get(f"/contests/{2**63 - 1}/").status_code == 404


class TestSomeContests:
    @pytest.fixture
    def both(self):
        return a_contest(), a_contest()

    @pytest.fixture
    def client(self, both):
        mine, _other = both
        user = an_account("Ada", role=Membership.Role.SOME)
        Permit.objects.create(membership=user.membership, contest=mine)
        client = Client()
        client.force_login(user)
        return client

    def test_they_do_everything_in_theirs_and_nothing_in_others(self, both, client):
        mine, other = both
        assert client.get(f"/contests/{mine.pk}/setup/").status_code == 200
        assert client.get(f"/contests/{other.pk}/setup/").status_code == 404
        home = html_in(client.get("/"))
        assert f"/contests/{mine.pk}/" in home
        assert f"/contests/{other.pk}/" not in home
        assert "New contest" not in home

    def test_nothing_that_is_the_whole_organisations_opens(self, client):
        for address in ("/contests/new/", "/practices/", "/seasons/", "/library/", "/events/", "/bin/", "/trail/"):
            assert client.get(address).status_code == 404, address
        assert client.get("/superintendents/").status_code == 200  # their own password
        assert client.post("/superintendents/", {"name": "Bob", "submission": uuid4()}).status_code == 404


class TestMachine:
    MACHINES = ("/copies/", "/health/", "/organizations/")

    def test_while_there_is_one_organisation_it_is_its_owners(self, superintendent):
        for address in self.MACHINES:
            assert superintendent.get(address).status_code == 200, address

    def test_once_there_are_two_it_is_its_administrators_alone(self, superintendent, organisations):
        administrator = signed_in("Root", is_superuser=True)
        for address in self.MACHINES:
            assert superintendent.get(address).status_code == 404, address
            assert administrator.get(address).status_code == 200, address

    def test_whoever_may_every_contest_and_no_more_runs_no_machine(self):
        client = signed_in(role=Membership.Role.ALL)
        contest = a_contest()
        assert client.get(f"/contests/{contest.pk}/setup/").status_code == 200
        for address in self.MACHINES:
            assert client.get(address).status_code == 404, address
