"""The keys of all classes for the wall: what everybody may know by now, and nothing else."""

import pytest

from contest.keys import enter_key
from contest.models import Contest, Key
from scoring.board.awards import ListKey
from scoring.board.queue import queue_lists
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from scoring.results.critique import release_key
from tests.pages import on_one_line
from tests.scoring.results.cast import change_key, ready, release, the_class

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
FIRST = "3, 1, 2, 4; top cut 3, middle cut 5, bottom cut 2"
CHANGED = "1, 3, 2, 4; top cut 3, middle cut 5, bottom cut 2"
SECOND = "4, 2, 1, 3; top cut 2, middle cut 4, bottom cut 3"


@pytest.fixture
def contest():
    return ready()


def posted(contest):
    material = gather_material(contest.pk, DOCUMENTS["keys"])
    return on_one_line(html_of(DOCUMENTS["keys"], material, Choice())[0])


def test_no_key_stands_on_it_before_anybody_may_know_it(contest):
    page = posted(contest)
    assert "No key may be posted yet." in page
    assert 'class="animal"' not in page
    assert FIRST not in page and SECOND not in page


def test_a_key_that_is_shown_for_a_critique_stands_on_it_alone(contest):
    release_key(the_class(contest, 2), "Sue", "the officials are leaving")
    page = posted(contest)
    assert SECOND in page
    assert "Provisional: the results are not released yet." in page
    assert page.count('class="animal"') == 4
    assert "not shown yet" in page
    assert FIRST not in page


def test_it_says_which_key_may_still_change(contest):
    release_key(the_class(contest, 2), "Sue", "the officials are leaving")
    Key.objects.filter(judging_class__contest=contest).update(confirmed_by="", confirmed_at=None)
    assert "typed once: may still change" in posted(contest)
    enter_key(the_class(contest, 2), "4231", (2, 4, 3), "Carl")
    page = posted(contest)
    assert "two entries differ: may still change" in page
    assert "4, 2, 3, 1" not in page


def test_a_key_that_changed_after_it_was_shown_says_so(contest):
    release_key(the_class(contest), "Sue", "the officials are leaving")
    change_key(contest)
    page = posted(contest)
    assert CHANGED in page and FIRST not in page
    assert "the official corrected it" in page


def test_after_the_release_all_of_them_stand_on_it_as_they_were_announced(contest):
    release(contest)
    change_key(contest)
    page = posted(contest)
    assert FIRST in page and SECOND in page and CHANGED not in page
    assert "rovisional" not in page
    assert "may still change" not in page


def test_a_class_that_is_void_shows_no_key(contest):
    contest.classes.filter(number=1).update(void=True)
    Contest.objects.filter(pk=contest.pk).update(revision=contest.revision + 1)
    release(contest)
    page = posted(contest)
    assert "void: it counts for nobody" in page
    assert SECOND in page and FIRST not in page


def test_it_says_that_the_awards_are_still_to_be_read(contest):
    queue_lists(contest, [ListKey("SR", "overall", "individuals")], 10, "Sue")
    release(contest)
    assert "The awards are still to be read: post this only when they are over." in posted(contest)
