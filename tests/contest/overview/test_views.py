"""The contests, one contest and one class in the browser."""

import pytest

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.records import save_record
from contest.setup.classes import void_class
from contest.trail import record_change
from contest.trail.sentences import Sentence
from contest.watch.counting import progress_of
from scoring.core.record import NO_CARD, UNREADABLE, Card, Division
from tests.contest.watch.cast import read, small_contest, the_class, the_contestant
from tests.factories import ClassFactory, DivisionFactory, PartFactory, RulesFactory, a_contest, people
from tests.pages import body
from tests.slips import decide_card

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


class TestContests:
    def test_it_lists_each_contest_with_its_date_place_and_people(self, superintendent):
        contest = a_contest()
        page = body(superintendent.get("/"))
        assert f'href="/contests/{contest.pk}/"' in page
        assert "Saturday, October 17, 2026" in page
        assert "Harrow Creek Fairground" in page
        assert "3 contestants" in page

    def test_one_contestant_is_no_contestants(self, superintendent):
        a_contest(contestants=people(1))
        assert "1 contestant<" in body(superintendent.get("/"))

    def test_without_a_contest_it_says_how_to_begin(self, superintendent):
        assert "import_book" in body(superintendent.get("/"))

    def test_its_queries_do_not_grow(self, superintendent, django_assert_num_queries):
        for count in (0, 40):
            a_contest(contestants=people(count))
            with django_assert_num_queries(3):  # who asks, for whom, and the contests
                superintendent.get("/")


class TestContest:
    def test_it_states_rules_divisions_parts_and_tie_orders_in_words(self, superintendent):
        contest = a_contest(
            rules=RulesFactory(negative_scores="zero", unreadable_card="lowest", readings_per_card=1),
            divisions=(
                DivisionFactory(short_team="unranked", counting_members="each"),
                Division("JR", "Junior", team_counting=0),
            ),
            parts=(PartFactory(),),
            individual_ties=("class:1", "part:QUEST", "category:HAL"),
            team_ties=("left-out",),
        )
        page = body(superintendent.get(f"/contests/{contest.pk}/"))
        for words in (
            "Every card is read once.",
            "A placing score below 0 counts as 0.",
            "earns the lowest score its class can give",
            "The best 3 members of a team count. A team of fewer than 3 is not ranked. Who counts is chosen anew",
            "Every member of a team counts.",
            "up to 50 points for each contestant",
            "<li>placing score in class 1</li><li>Questions</li><li>total in Halter</li>",
            "<li>best member who does not count</li>",
        ):
            assert words in page

    def test_it_sets_the_key_with_its_cuts_between_the_animals(self, superintendent):
        page = body(superintendent.get(f"/contests/{a_contest().pk}/"))
        assert 'aria-label="3, 1, 2, 4; top cut 3, middle cut 5, bottom cut 2"' in page
        assert '<span class="animal">3</span> <span class="cut wide-3">3</span> <span class="animal">1</span>' in page

    def test_a_class_without_a_key_waits_for_it_and_a_void_one_is_void(self, superintendent):
        contest = a_contest(
            classes=(ClassFactory(official=None, cuts=None), ClassFactory(number=2, name="Yearlings", void=True))
        )
        page = body(superintendent.get(f"/contests/{contest.pk}/"))
        assert '<span class="state">waiting for its key</span>' in page
        assert '<span class="state">void</span>' in page

    def test_a_key_beyond_the_published_limits_is_warned_of_with_the_source(self, superintendent):
        page = body(superintendent.get(f"/contests/{a_contest(classes=(ClassFactory(cuts=(9, 5, 3)),)).pk}/"))
        assert "Warning:</strong> the top cut is 9, more than 8 <cite>Nebraska G2092</cite>" in page

    def test_it_counts_the_cards_of_those_who_are_present(self, superintendent):
        *here, absent = people(6)
        cards = [Card(1, 101, "3124"), Card(1, 102, UNREADABLE), Card(1, 103, ""), Card(1, 104, "3124", "3142")]
        contest = a_contest(
            contestants=(*here, absent._replace(present=False)), cards=(*cards, Card(1, absent.number, "3124", "4123"))
        )
        page = body(superintendent.get(f"/contests/{contest.pk}/"))
        assert "<b>0</b> of 5 cards<br>1 missing<br>3 read once<br>1 not settled<br>1 unreadable" in page
        assert "5 contestants, 1 team; 1 more is not present" in page

    def test_it_counts_cards_as_the_class_and_the_progress_do(self, superintendent):
        contest = small_contest()
        decide_card(the_class(contest), the_contestant(contest, 101), NO_CARD, "Sue", "no card was handed in")
        read(contest, 1, 102, "3124")
        read(contest, 2, 101, NO_CARD)
        programme = body(superintendent.get(f"/contests/{contest.pk}/"))
        assert "<b>1</b> of 3 cards<br>1 missing<br>1 read once<br>1 with no card</p>" in programme
        assert "<b>0</b> of 4 cards<br>3 missing<br>1 read once</p>" in programme
        of_class = body(superintendent.get(f"/contests/{contest.pk}/classes/1/"))
        assert "<b>1</b> of 3 done, 1 missing, 1 read once, 1 with no card" in of_class
        assert '<th scope="row">No card</th><td class="figure score">0</td><td class="figure given">1</td>' in of_class
        assert '<th scope="row">Missing</th>' in of_class
        first, second = (row.total for row in progress_of(contest)[0].rows)
        assert (first.done, first.due, first.missing, first.once, first.no_card) == (1, 3, 1, 1, 1)
        assert (second.done, second.due, second.missing, second.once, second.no_card) == (0, 4, 3, 1, 0)

    def test_whoever_a_class_is_void_for_is_not_missing_there(self, superintendent):
        contest = small_contest()
        read(contest, 2, 201, "3124")
        void_class(the_class(contest, 2), "Sue", "an animal lay down", ("JR",))
        assert "<b>0</b> of 3 cards<br>3 missing</p>" in body(superintendent.get(f"/contests/{contest.pk}/"))
        of_class = body(superintendent.get(f"/contests/{contest.pk}/classes/2/"))
        assert "<b>0</b> of 3 done, 3 missing" in of_class
        assert '<th scope="row">Missing</th><td class="figure given">3</td>' in of_class

    def test_an_empty_contest_says_what_it_lacks(self, superintendent):
        contest = a_contest(divisions=(), classes=(), contestants=(), categories=())
        page = body(superintendent.get(f"/contests/{contest.pk}/"))
        assert "No classes yet." in page
        assert "No divisions yet." in page


class TestClass:
    def test_it_shows_the_24_placings_with_scores_cards_and_pairs_lost(self, superintendent):
        cards = (Card(1, 101, "3124"), Card(1, 102, "1324"), Card(1, 103, "1324"))
        page = body(superintendent.get(f"/contests/{a_contest(cards=cards).pk}/classes/1/"))
        assert page.count('<td class="figure score">') == 24 + 2
        assert "1 over 3 costs 3" in page
        assert '<th scope="row">1324</th><td class="figure score">47</td><td class="figure given">2<svg' in page
        assert "official placing</td>" in page

    def test_scores_below_zero_are_shown_as_the_contest_counts_them(self, superintendent):
        classes = (ClassFactory(cuts=(8, 8, 8)),)
        kept = a_contest(classes=classes)
        zero = a_contest(classes=classes, rules=RulesFactory(negative_scores="zero"))
        assert "−30<" in body(superintendent.get(f"/contests/{kept.pk}/classes/1/"))
        assert "−" not in body(superintendent.get(f"/contests/{zero.pk}/classes/1/"))

    def test_without_a_key_it_shows_what_was_given_and_scores_nothing(self, superintendent):
        contest = a_contest(classes=(ClassFactory(official=None, cuts=None),))
        page = body(superintendent.get(f"/contests/{contest.pk}/classes/1/"))
        assert "Waiting for its key." in page
        assert '<th scope="row">3124</th><td class="figure given">3' in page
        assert "score" not in page.replace("scores", "")

    def test_a_reasons_only_class_has_no_cards(self, superintendent):
        contest = a_contest(classes=(ClassFactory(places=False, reasons=("SR",)),), cards=())
        assert "judged for its reasons only" in body(superintendent.get(f"/contests/{contest.pk}/classes/1/"))

    def test_a_class_of_another_contest_is_not_found(self, superintendent):
        contest = a_contest()
        a_contest(classes=(ClassFactory(number=2),))
        assert superintendent.get(f"/contests/{contest.pk}/classes/2/").status_code == 404


PAGES = ["", "classes/1/", "standings/", "standings/SR/overall/"]


@pytest.mark.parametrize("page", PAGES)
class TestEveryPageOfAContest:
    def test_it_refuses_a_stranger(self, client, page):
        response = client.get(f"/contests/{a_contest().pk}/{page}")
        assert response.status_code == 302
        assert response.headers["Location"].startswith("/join/")

    @pytest.mark.parametrize("method", ["post", "put", "delete"])
    def test_it_only_shows(self, superintendent, page, method):
        assert getattr(superintendent, method)(f"/contests/{a_contest().pk}/{page}").status_code == 405

    @pytest.mark.parametrize("pk", [4711, 10**30])
    def test_an_unknown_contest_is_not_found(self, superintendent, page, pk):
        response = superintendent.get(f"/contests/{pk}/{page}")
        assert response.status_code == 404
        assert "There is no such page" in response.content.decode()

    def test_it_has_a_title_of_its_own(self, superintendent, page):
        contest = a_contest()
        pages = [body(superintendent.get(f"/contests/{contest.pk}/{other}")) for other in PAGES[:3]]
        titles = {shown.split("<title>")[1][:40] for shown in pages}
        assert len(titles) == 3
        assert "Harrow Creek" in body(superintendent.get(f"/contests/{contest.pk}/{page}")).split("</title>")[0]

    def test_a_browser_that_has_it_is_not_sent_it_again_until_something_changes(self, superintendent, page):
        contest = a_contest()
        address = f"/contests/{contest.pk}/{page}"
        tag = superintendent.get(address).headers["ETag"]
        unchanged = superintendent.get(address, headers={"If-None-Match": tag})
        assert (unchanged.status_code, unchanged.content) == (304, b"")
        record_change(contest, "test", Sentence("something"))
        changed = superintendent.get(address, headers={"If-None-Match": tag})
        assert changed.status_code == 200
        assert "Revision 2" in body(changed)

    def test_nobody_between_may_keep_it(self, superintendent, page):
        answered = superintendent.get(f"/contests/{a_contest().pk}/{page}")
        assert answered.headers["Cache-Control"] == "private, no-cache"

    def test_its_queries_do_not_grow(self, superintendent, page, django_assert_num_queries):
        for count in (2, 60):
            address = f"/contests/{a_contest(contestants=people(count)).pk}/{page}"
            superintendent.get(address)
            # Who asks, for whom, the contest and when it changed; its own pages also ask for open keys and cards read
            # once.
            with django_assert_num_queries(4 if page.startswith("standings") else 7):
                superintendent.get(address)


@pytest.mark.parametrize(
    ("show_as", "shown", "hidden"),
    [
        ("name", ["Given101x Family101x"], ["Given102x", "Family102x"]),
        ("initials", ["G. F."], ["Given", "Family"]),
        ("number", [], ["Given", "Family", "G. F."]),
    ],
)
def test_no_page_says_more_of_a_person_than_the_contest_and_the_family_allow(superintendent, show_as, shown, hidden):
    first, second = people(2)
    contest = a_contest(
        rules=RulesFactory(show_people_as=show_as), contestants=(first, second._replace(show_name=False))
    )
    everything = " ".join(body(superintendent.get(f"/contests/{contest.pk}/{page}")) for page in PAGES)
    for text in shown:
        assert text in everything
    for text in hidden:
        assert text not in everything


def test_every_page_of_the_demo_works(superintendent):
    record = read_book(DEMO_BOOK)
    contest = save_record(record, by="test")
    for judged in record.classes:
        body(superintendent.get(f"/contests/{contest.pk}/classes/{judged.number}/"))
    body(superintendent.get(f"/contests/{contest.pk}/"))


def test_an_error_is_told_in_the_same_look(superintendent, settings, monkeypatch):
    def fails(*_):
        raise RuntimeError

    monkeypatch.setattr("contest.overview.views.load_contest", fails)
    superintendent.raise_request_exception = False
    response = superintendent.get("/contests/1/")
    assert response.status_code == 500
    assert "Something went wrong" in response.content.decode()
