"""The club's library of practices: kept, found, opened again, taken out."""

from uuid import uuid4

import pytest

from contest.models import Practice, PracticePicture
from contest.practice.joining import join_practice
from contest.practice.making import make_practice
from contest.practice.pictures import put_picture
from contest.practice.running import go_to, hand_in, set_key
from scoring.core.season.like import likeness
from scoring.library.finding import EASY, HARD, find
from scoring.library.keeping import keep
from scoring.models import LibraryClass, LibraryPractice, SeasonMember
from scoring.season import changing
from tests.contest.practice.test_pictures import photograph
from tests.pages import html_in
from tests.scoring.core.season.test_lost import placed

pytestmark = pytest.mark.django_db(transaction=True)  # a thread of the server reads what is opened


def practised(name="Market steers", cuts=(3, 5, 2), placing="1324", key=True):
    practice = make_practice(name, "1234", 12, keeps=False, by="coach")
    judged = practice.classes.get()
    if key:
        set_key(judged, "3124", cuts)
    put_picture(judged, "3", "side", "a brown steer", photograph())
    ana = join_practice(practice, "Anastasia")
    go_to(judged, 0, 1)
    hand_in(ana, 1, placing, {})
    return practice


def post(coach, address, **fields):
    return coach.post(address, {"submission": uuid4(), **fields})


def test_a_practice_is_kept_without_its_members_and_opened_again(superintendent):
    practice = practised()
    assert post(superintendent, "/library/", practice=practice.pk, species="beef").status_code == 302
    practice.delete()
    kept = LibraryPractice.objects.get()
    assert (kept.species, kept.classes.get().placed, kept.classes.get().points) == ("beef", 1, 47)
    assert b"Anastasia" not in bytes(kept.file)
    page = html_in(superintendent.get("/library/"))
    assert "The group lost 6 % of the points." in page
    reply = post(superintendent, f"/library/{kept.pk}/open/")
    made = Practice.objects.get()
    assert reply.status_code == 302
    assert (made.classes.get().official, tuple(made.classes.get().cuts)) == ("3124", (3, 5, 2))
    assert made.members.count() == 0
    assert PracticePicture.objects.filter(judging_class__practice=made).count() == 1
    assert post(superintendent, f"/library/{kept.pk}/out/").status_code == 302
    assert (LibraryPractice.objects.count(), LibraryClass.objects.count()) == (0, 0)
    assert Practice.objects.count() == 1


def test_the_same_practice_is_kept_once(superintendent):
    practice = practised()
    for species in ("beef", "cattle"):
        post(superintendent, "/library/", practice=practice.pk, species=species)
    assert LibraryPractice.objects.get().species == "cattle"


def test_one_without_an_official_placing_is_not_offered(superintendent):
    practice = practised(key=False)
    reply = post(superintendent, "/library/", practice=practice.pk, species="beef")
    assert reply.status_code == 422
    assert not LibraryPractice.objects.exists()


def test_it_is_found_by_words_and_by_how_hard_it_was():
    for name, placing in (("Market steers", "4213"), ("Boer does", "3124"), ("Breeding ewes", "1324")):
        keep(practised(name, placing=placing), "beef" if name == "Market steers" else "sheep and goats", "coach")

    def names(found):
        return [one.classes[0].name for one in found]

    assert names(find("goats does", "", None)) == ["Boer does"]
    assert names(find("", HARD, None)) == ["Market steers", "Breeding ewes", "Boer does"]
    assert names(find("", EASY, None)) == ["Boer does", "Breeding ewes", "Market steers"]
    assert find("hogs", "", None) == []


MISSES_CLOSE = [placed("1234", (2, 7, 7), "2134")] * 6
"""The top pair, always close, and no other."""


def test_classes_like_the_pairs_that_somebody_misses_come_first():
    close_top, wide = likeness(MISSES_CLOSE, (1, 6, 6)), likeness(MISSES_CLOSE, (8, 6, 6))
    assert 0 < wide < close_top < 1
    assert likeness([placed("1234", (2, 7, 7), "1234")], (1, 6, 6)) is None
    assert likeness(MISSES_CLOSE, (1, 1, 1, 1)) is None  # five animals, of which they placed none
    keep(practised("Wide", cuts=(8, 6, 6)), "beef", "coach")
    keep(practised("Close on top", cuts=(1, 6, 7)), "beef", "coach")
    assert [one.classes[0].name for one in find("", "", MISSES_CLOSE)] == ["Close on top", "Wide"]


def test_a_member_is_known_to_the_library_by_number_alone(superintendent):
    season = changing.make_season("Harrow Creek", "coach")
    ana = changing.add_member(season, 3, "Ana Lind", True, "coach")
    keep(practised(), "beef", "coach")
    source = season.sources.create(kind="contest", name="A", held_on="2026-09-05", digest="d", counts=True)
    judged = source.classes.create(number=1, name="C", animals="1234", perfect=50, official="1234", cuts=(2, 3, 4))
    entry = source.entries.create(member=ana, number=1)
    entry.placings.create(judged=judged, placing="2134", points=48)
    link = f"/library/?like={ana.pk}"
    assert link in html_in(superintendent.get(SeasonMember.objects.get().get_absolute_url()))
    # By hand: places 5/9, 2/9, 2/9; close cuts 5/12, moderate 2/9, each drawn to 1/3; the class 3-5-2 so 0.342.
    assert "The member loses such pairs 34 times" in html_in(superintendent.get(link))
