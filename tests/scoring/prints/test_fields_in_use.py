"""Which contests print their cards with a field, and whose the codes on them are."""

import pytest

from contest.scanning.reader import identify
from contest.scanning.rules import change_rules
from contest.scanning.whose import identity_of, secret_of
from scoring.core.record import Part
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.gathering import gather_material
from tests.factories import ClassFactory, a_contest, people


@pytest.mark.django_db
def test_cards_have_a_field_where_the_contest_reads_them_by_scanner():
    contest, cards = a_contest(classes=(ClassFactory(),), contestants=people(2), cards=()), DOCUMENTS["placing-cards"]
    assert gather_material(contest.pk, cards).card_codes is None
    change_rules(contest, "Boss", on=True)
    material = gather_material(contest.pk, cards)
    (of_class,) = material.record.classes
    for code in material.card_codes.of(of_class, 101):
        assert identify(bytes.fromhex(code), secret_of(contest)) == identity_of(contest, of_class.number, 101)
    assert gather_material(contest.pk, DOCUMENTS["check-in"]).card_codes is None


@pytest.mark.django_db
def test_keep_cards_name_their_part_by_its_key():
    parts = [
        Part(f"K{len(animals)}", "Ewes", ("SR",), 0, "individual", animals=animals, keep=2)
        for animals in ("ABXYZ", "123456789012"[:11])
    ]
    contest = a_contest(contestants=people(2), parts=parts, cards=())
    assert gather_material(contest.pk, DOCUMENTS["keep-cards"]).card_codes is None
    change_rules(contest, "Boss", on=True)
    material = gather_material(contest.pk, DOCUMENTS["keep-cards"])
    with_field, too_many = material.record.parts
    key = contest.parts.get(code="K5").pk
    codes = material.card_codes.of_part(with_field, 101)
    assert len(codes) == 2
    for code in codes:
        wanted = identity_of(contest, key, 101)._replace(kind="keep")
        assert identify(bytes.fromhex(code), secret_of(contest)) == wanted
    assert material.card_codes.of_part(too_many, 101) == []
