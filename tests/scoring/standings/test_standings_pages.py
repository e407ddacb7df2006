"""The standings in the browser, and the words and rows they are made of."""

import re

import pytest

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Key
from contest.records import save_record
from scoring.core.explain import listed, tie_step
from scoring.core.record import Card, Category, Division, Mark
from scoring.core.tally import tally
from scoring.standings.rows import find_standing, individual_rows, provisional, short_by, team_rows
from tests.factories import ClassFactory, DivisionFactory, PartFactory, RecordFactory, RulesFactory, a_contest, people
from tests.pages import html_in

pytestmark = pytest.mark.any_database


def cells(page, name):
    """The texts of a column's cells in the first table of (a piece of) a page."""
    body = page.partition("<tbody>")[2].partition("</tbody>")[0]
    body = re.sub(r"<tr hidden>.*?</tr>", "", body, flags=re.DOTALL)
    found = re.findall(rf'<t[dh](?: scope="row")? class="{name}(?: [^"]*)?">(.*?)</t[dh]>', body)
    return [re.sub(r"<[^>]*>", " ", cell).strip() for cell in found]


@pytest.fixture
def tied():
    """101 and 102 are level and parted by class 2; 103 and 104 are level in everything; 105 stands alone."""
    placings = {
        101: ("3124", "1324"),
        102: ("1324", "3124"),
        103: ("4213", "4213"),
        104: ("4213", "4213"),
        105: ("", ""),
    }
    return RecordFactory(
        classes=(ClassFactory(), ClassFactory(number=2, name="Mares")),
        contestants=people(5),
        cards=tuple(
            Card(number, person, placing)
            for person, both in placings.items()
            for number, placing in enumerate(both, start=1)
        ),
        individual_ties=("class:2",),
    )


@pytest.mark.django_db
class TestPage:
    def test_the_first_page_is_the_first_division_overall(self, superintendent):
        contest = a_contest()
        first = superintendent.get(f"/contests/{contest.pk}/standings/").content
        named = superintendent.get(f"/contests/{contest.pk}/standings/SR/overall/").content
        assert b"<bdi>Senior</bdi>, <bdi>Overall</bdi>" in first
        assert first.split(b"<main")[1] == named.split(b"<main")[1]

    def test_it_ranks_individuals_and_teams(self, superintendent, tied):
        contest = save_record(tied, by="test")
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/"))
        individuals, teams = page.split('<h2 id="teams">')
        assert cells(individuals, "rank") == ["1", "2", "3", "3", "5"]
        assert cells(individuals, "no") == ["102", "101", "103", "104", "105"]
        assert cells(individuals, "total") == ["97", "97", "30", "30", "0"]
        assert [note.split("  ")[0] for note in cells(individuals, "note")] == [
            "level at 97; ahead of 101 on class 2, 50 to 47",
            "level at 97; behind 102 on class 2, 47 to 50",
            "level at 30; shares its place with 104, equal in every tie step",
            "level at 30; shares its place with 103, equal in every tie step",
            "2 cards not settled",
        ]
        assert cells(teams, "counting") == ["101, 102, 103  not 104, 105"]
        assert cells(teams, "total") == ["224"]

    def test_every_list_of_the_demo_is_one_link_away_and_works(self, superintendent):
        record = read_book(DEMO_BOOK)
        contest = save_record(record, by="test")
        for standing in tally(record).standings:
            address = f"/contests/{contest.pk}/standings/{standing.division}/{standing.code}/"
            page = html_in(superintendent.get(address))
            assert f'href="{address}" aria-current="page"' in page
            for division in record.divisions:
                assert f'href="/contests/{contest.pk}/standings/{division.code}/' in page

    @pytest.mark.parametrize("lists", ["XX/overall", "SR/nothing", "SR/HAL", "sr/overall", "SR/Overall"])
    def test_an_unknown_division_or_list_is_not_found(self, superintendent, lists):
        response = superintendent.get(f"/contests/{a_contest().pk}/standings/{lists}/")
        assert response.status_code == 404
        assert "There is no such page" in html_in(response)

    def test_an_open_page_asks_whether_anything_has_changed(self, superintendent):
        contest = a_contest()
        start = f"/contests/{contest.pk}/standings/"
        assert f'data-version="{contest.revision}"' in html_in(superintendent.get(start))
        assert superintendent.get(f"{start}?v={contest.revision}").status_code == 204
        assert superintendent.get(f"{start}?v={contest.revision - 1}").content == b"newer\n"

    def test_without_divisions_it_says_so(self, superintendent):
        contest = a_contest(divisions=(), classes=(), contestants=())
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/"))
        assert "the contest has no divisions" in page

    def test_without_contestants_it_says_so(self, superintendent):
        page = html_in(superintendent.get(f"/contests/{a_contest(contestants=()).pk}/standings/"))
        assert "No contestants in this list yet." in page
        assert "No teams in this list." in page

    def test_a_list_of_teams_only_says_so(self, superintendent):
        contest = a_contest(
            categories=(Category("ACT", "Team activity"),),
            parts=(PartFactory(scope="team", category="ACT"),),
            marks=(Mark("QUEST", 4250, division="SR", team="Barley Hill"),),
        )
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/SR/ACT/"))
        assert "This list ranks teams only." in page
        assert cells(page, "total") == ["42.5"]

    def test_what_is_open_makes_it_provisional(self, superintendent):
        cards = (Card(1, 101, "3124", "3142"), Card(1, 102, "3142"))
        contest = a_contest(cards=cards, individual_ties=("class:1",))
        Key.objects.update(confirmed_by="", confirmed_at=None)
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/"))
        why = "1 card is in doubt; 1 card is missing; 1 card is read once; the key of class 1 is not confirmed"
        assert f"<strong>Provisional.</strong> {why}." in page
        assert cells(page.split('<h2 id="teams">')[0], "note") == ["1 card not settled"] * 3
        assert cells(page.split('<h2 id="teams">')[1], "note") == ["3 cards not settled"]

    def test_nothing_open_is_not_provisional(self, superintendent):
        settled = a_contest(cards=tuple(Card(1, number, "3124", "3124") for number in (101, 102, 103)))
        assert "Provisional" not in html_in(superintendent.get(f"/contests/{settled.pk}/standings/"))

    def test_reasons_and_marks_make_a_list_provisional_only_where_they_count(self, superintendent):
        contest = a_contest(
            classes=(ClassFactory(reasons=("SR",), category="HAL"),),
            cards=tuple(Card(1, number, "3124", "3124") for number in (101, 102, 103)),
            parts=(PartFactory(),),
            marks=(Mark("QUEST", 100, number=101),),
        )
        overall = html_in(superintendent.get(f"/contests/{contest.pk}/standings/SR/overall/"))
        assert "3 reasons scores are missing; 2 marks are missing" in overall
        assert "Provisional" not in html_in(superintendent.get(f"/contests/{contest.pk}/standings/SR/placing/"))


@pytest.mark.django_db
class TestFindingAndSorting:
    @pytest.fixture
    def start(self, tied):
        return f"/contests/{save_record(tied, by='test').pk}/standings/"

    @pytest.mark.parametrize(
        ("query", "numbers"),
        [
            ("", [102, 101, 103, 104, 105]),
            ("sort=rank&down=1", [105, 104, 103, 101, 102]),
            ("sort=number", [101, 102, 103, 104, 105]),
            ("sort=number&down=1", [105, 104, 103, 102, 101]),
            ("sort=nonsense&down=x", [102, 101, 103, 104, 105]),
            ("find=103", [103]),
            ("find=barley+10", [102, 101, 103, 104, 105]),
            ("find=BARLEY+104", [104]),
        ],
    )
    def test_the_address_says_what_is_shown_and_in_which_order(self, superintendent, start, query, numbers):
        page = html_in(superintendent.get(f"{start}?{query}"))
        assert cells(page.split('<h2 id="teams">')[0], "no") == [str(number) for number in numbers]

    def test_people_are_not_looked_for_by_name_in_an_address(self, superintendent, start):
        page = html_in(superintendent.get(f"{start}?find=Given103x"))
        assert '<p class="none" data-none>No contestant fits.</p>' in page

    def test_a_column_says_how_it_is_sorted_and_turns_round(self, superintendent, start):
        page = html_in(superintendent.get(f"{start}?sort=number&find=10"))
        turned = "?find=10&amp;sort=number&amp;down=1#individuals"
        assert f'<th scope="col" class="no" aria-sort="ascending"><a href="{turned}">' in page
        assert '<th scope="col" class="rank"><a href="?find=10#individuals">' in page
        assert "Overall, sorted by No.</caption>" in page

    def test_the_way_to_another_list_keeps_what_is_looked_for(self, superintendent, start):
        page = html_in(superintendent.get(f"{start}?sort=number&find=10"))
        assert f'href="{start}SR/placing/?find=10&amp;sort=number"' in page
        assert '<a href="?sort=number">Show all</a>' in page

    def test_teams_are_sorted_by_themselves(self, superintendent, start):
        page = html_in(superintendent.get(f"{start}?teams=team&teams-down=1"))
        assert '<th scope="col" class="team" aria-sort="descending"><a href="?teams=team#teams">' in page
        assert cells(page.split('<h2 id="teams">')[0], "no")[0] == "102"


@pytest.mark.django_db
class TestDownToThePairs:
    def test_from_a_total_one_click_leads_to_the_pairs_that_were_lost(self, superintendent, tied):
        contest = save_record(tied, by="test")
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/"))
        address = f"/contests/{contest.pk}/standings/contestants/102/"
        assert f'href="{address}"' in page
        sheet = html_in(superintendent.get(address))
        assert "<li>3 over 1 was 1 over 3: −3</li>" in sheet
        assert "level at 97; ahead of 101 on class 2, 50 to 47" in sheet
        assert "no pair lost" in sheet

    def test_a_team_shows_who_counts_and_who_does_not(self, superintendent, tied):
        contest = save_record(tied, by="test")
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/"))
        address = re.search(r'href="(/contests/\d+/standings/SR/teams/\d+/)"', page)[1]
        sheet = html_in(superintendent.get(address))
        assert sheet.count("● counts") == 3
        assert sheet.count("○ does not count") == 2
        assert '101, 102, 103 <span class="others">not 104, 105</span>' in sheet

    def test_from_a_teams_matrix_each_score_leads_to_the_row_that_tells_of_it(self, superintendent, tied):
        contest = save_record(tied, by="test")
        team = contest.divisions.get().teams.get().pk
        sheet = html_in(superintendent.get(f"/contests/{contest.pk}/standings/SR/teams/{team}/"))
        targets = re.findall(r'<td class="figure"><a href="([^"#]+)#([^"]+)"', sheet)
        assert len(targets) == 5 * (2 + 1)  # each of the members in each class, and their totals
        for address, anchor in targets:
            assert f'id="{anchor}"' in html_in(superintendent.get(address))

    def test_whoever_is_in_a_team_reads_whether_they_count_for_it(self, superintendent, tied):
        contest = save_record(tied, by="test")

        def column(number):
            page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/contestants/{number}/"))
            return cells(page, "counting")

        assert column(101) == ["● counts", "● counts"]
        assert column(105) == ["○ does not count", "○ does not count"]

    def test_what_is_open_is_marked_on_every_total_that_rests_on_it(self, superintendent):
        cards = (Card(1, 101, "3124", "3142"), *(Card(1, number, "3124", "3124") for number in (102, 103)))
        contest = a_contest(cards=cards, parts=(PartFactory(scope="team"),))
        Key.objects.update(confirmed_by="", confirmed_at=None)
        start = f"/contests/{contest.pk}/standings/"
        key = "the key of class 1 is not confirmed"
        person = html_in(superintendent.get(f"{start}contestants/101/"))
        assert person.count(f'<span class="open">1 card not settled; {key}</span>') == 2  # overall and placing
        other = html_in(superintendent.get(f"{start}contestants/102/"))
        assert other.count(f'<span class="open">{key}</span>') == 2
        team = html_in(superintendent.get(f"{start}SR/teams/{contest.divisions.get().teams.get().pk}/"))
        assert f'<span class="open">1 card and 1 mark not settled; {key}</span>' in team
        assert team.count('<span class="open">in doubt; key typed once</span>') == 1
        assert team.count('<span class="open">missing</span>') == 1

    def test_a_rule_that_made_a_score_is_named_beside_it(self, superintendent):
        contest = a_contest(
            rules=RulesFactory(negative_scores="zero", unreadable_card="lowest"),
            classes=(ClassFactory(cuts=(9, 9, 9)), ClassFactory(number=2)),
            cards=(Card(1, 101, "4213"), Card(2, 101, "unreadable")),
        )
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/contestants/101/"))
        lost = cells(page.partition("class-scores-101")[2], "lost")
        assert lost[0].endswith("below 0 counts as 0")
        assert lost[1] == "earns the lowest score of the class"

    def test_a_class_without_a_key_a_void_one_and_one_without_a_card_say_so(self, superintendent):
        contest = a_contest(
            classes=(
                ClassFactory(official=None, cuts=None),
                ClassFactory(number=2, void=True),
                ClassFactory(number=3, reasons=("SR",)),
                ClassFactory(number=4),
            ),
            cards=(Card(1, 101, "3124"), Card(4, 101, "unreadable", "unreadable")),
        )
        sheet = html_in(superintendent.get(f"/contests/{contest.pk}/standings/contestants/101/"))
        for words in ("waits for its key", "void, counts for nobody", "no card", "unreadable card", "no score"):
            assert words in sheet
        assert sheet.count('<span class="open">missing</span>') == 2  # the card and the reasons of class 3
        assert sheet.count('<span class="open">read once</span>') == 1

    def test_somebody_who_did_not_come_counts_for_nobody(self, superintendent):
        first, absent = people(2)
        contest = a_contest(contestants=(first, absent._replace(present=False)))
        sheet = html_in(superintendent.get(f"/contests/{contest.pk}/standings/contestants/{absent.number}/"))
        assert "Not present." in sheet
        assert "Places" not in sheet

    @pytest.mark.parametrize("address", ["contestants/999/", "SR/teams/99999/", "JR/teams/1/"])
    def test_whoever_is_not_there_is_not_found(self, superintendent, address):
        assert superintendent.get(f"/contests/{a_contest().pk}/standings/{address}").status_code == 404

    def test_a_team_of_another_contest_is_not_found(self, superintendent):
        contest, other = a_contest(), a_contest()
        team = other.divisions.get().teams.get().pk
        assert superintendent.get(f"/contests/{contest.pk}/standings/SR/teams/{team}/").status_code == 404

    def test_a_team_that_is_too_small_to_be_ranked_says_so(self, superintendent):
        contest = a_contest(divisions=(DivisionFactory(team_counting=4, short_team="unranked"),))
        team = contest.divisions.get().teams.get().pk
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/SR/teams/{team}/"))
        assert "Not ranked." in page

    def test_markup_in_a_name_stays_text(self, superintendent):
        contest = a_contest(contestants=people(1, first_name="<b>Bo</b>", team="A & <i>B</i>"))
        page = html_in(superintendent.get(f"/contests/{contest.pk}/standings/"))
        assert "&lt;b&gt;Bo" in page
        assert "A &amp; &lt;i&gt;B" in page


class TestProvisional:
    def test_cards_of_void_classes_absent_people_and_other_divisions_do_not_matter(self):
        here, absent = people(2)
        junior = people(1, division="JR")[0]
        junior = type(junior)(number=900, division="JR", team="Larks")
        record = RecordFactory(
            divisions=(Division("SR", "Senior", 3), Division("JR", "Junior", 3)),
            classes=(ClassFactory(divisions=("SR", "JR")), ClassFactory(number=2, void=True)),
            contestants=(here, type(absent)(number=absent.number, division="SR", team="Larks", present=False), junior),
            cards=(
                Card(1, absent.number, "3124", "3142"),
                Card(2, here.number, "3124", "3142"),
                Card(1, 900, "3124", "3142"),
            ),
        )
        assert provisional(record, tally(record), "SR") == []
        assert provisional(record, tally(record), "JR") == ["1 card is not settled"]

    def test_classes_wait_for_keys(self):
        waiting = [ClassFactory(number=number, official=None, cuts=None) for number in (1, 2)]
        one = RecordFactory(classes=(waiting[0], ClassFactory(number=3)))
        both = RecordFactory(classes=tuple(waiting))
        assert provisional(one, tally(one), "SR") == ["class 1 waits for its key and counts for nobody yet"]
        assert provisional(both, tally(both), "SR") == ["classes 1 and 2 wait for their keys and count for nobody yet"]


class TestRows:
    def test_ranks_totals_and_ties_come_from_the_result(self, tied):
        result = tally(tied)
        standing = find_standing(result, "SR", "overall")
        assert [row[:2] for row in individual_rows(tied, result, standing)] == [
            (row.rank, row.number) for row in standing.individuals
        ]
        assert [row[1:3] for row in team_rows(tied, tally(tied), standing)] == [("Barley Hill", "101, 102, 103")]

    @pytest.mark.parametrize(
        ("totals", "short"),
        [
            ([], []),
            (["412", "7"], [0, 0]),
            (["412.5", "7"], [0, 2]),
            (["412.25", "412.5", "−7"], [0, 1, 3]),
        ],
    )
    def test_decimal_points_line_up(self, totals, short):
        assert short_by(totals) == short


@pytest.mark.parametrize(
    ("words", "sentence"),
    [([], ""), (["A"], "A"), (["A", "B"], "A and B"), (["A", "B", "C"], "A, B and C")],
)
def test_words_are_listed_as_a_sentence_does(words, sentence):
    assert listed(words) == sentence


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("total", "overall total"),
        ("reasons", "all reasons"),
        ("placing", "all placing scores"),
        ("best-class", "highest single placing score"),
        ("left-out", "best member who does not count"),
        ("class:3", "placing score in class 3"),
        ("category:HAL", "total in Halter"),
        ("part:QUEST", "Questions"),
    ],
)
def test_each_tie_step_has_words(step, words):
    assert tie_step(step, RecordFactory(parts=(PartFactory(),))) == words
