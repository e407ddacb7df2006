"""The database itself refuses a row that would be of two organisations."""

import pytest
from django.db import IntegrityError, transaction

from contest.models import Event, EventContest, Organisation, Permit, one_organisation
from contest.models.organisations import Reach, own_organisation, reaching
from tests.accounts import an_account
from tests.contest.test_organisations import OWNED
from tests.factories import a_contest

pytestmark = pytest.mark.django_db


@pytest.fixture
def both():
    """What each of two organisations has: a contest, a day and a membership."""
    organisations = own_organisation(), Organisation.objects.create(name="Quill Creek").pk
    return [things_of(organisation) for organisation in organisations]


def things_of(organisation):
    with reaching(Reach(organisation)):
        event = Event.objects.create(name="Fair")
        return a_contest(), event, an_account(f"of-{organisation}", organisation).membership


def refused():
    return pytest.raises(IntegrityError, match="would be of two organisations")


def test_a_day_holds_contests_of_its_own_organisation_alone(both):
    (ours, day, _), (theirs, their_day, _) = both
    with refused(), transaction.atomic():
        EventContest.objects.create(event=day, contest=theirs)
    place = EventContest.objects.create(event=day, contest=ours)
    with refused(), transaction.atomic():
        EventContest.objects.filter(pk=place.pk).update(event=their_day)


def test_nobody_may_a_contest_of_another_organisation(both):
    (ours, _, member), (theirs, _, _) = both
    Permit.objects.create(membership=member, contest=ours)
    with refused(), transaction.atomic():
        Permit.objects.create(membership=member, contest=theirs)


@pytest.mark.parametrize("which", [0, 1, 2], ids=["contest", "day", "membership"])
def test_what_hangs_on_a_row_stays_in_its_organisation_with_it(both, which):
    ours, theirs = both[0][which], both[1][which]
    rows = type(ours)._base_manager.filter(pk=ours.pk)
    with refused(), transaction.atomic():
        rows.update(organisation=theirs.organisation_id)
    assert rows.update(organisation=ours.organisation_id) == 1


def test_without_the_triggers_all_of_it_is_taken(both):
    """A control: it is they that refuse."""
    (_, day, _), (theirs, _, _) = both
    with transaction.atomic():
        one_organisation.drop_triggers("default")
        EventContest.objects.create(event=day, contest=theirs)
        transaction.set_rollback(True)


def test_every_row_that_stands_between_two_is_known():
    assert set(one_organisation.between()) == {EventContest, Permit}
    names = {model.__name__ for model in one_organisation.owned()}
    assert names == {"Invitation", "Membership", *(model.__name__ for model in OWNED)}
