"""A day of several contests: the sweepstakes from books and in the browser, and who may read them when."""

from csv import DictReader
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from contest.book import write_book
from contest.entries.across import people_of
from contest.models import Contest, Duty, Event, SiteTrail, TrailEntry
from contest.records.day import load_record_with_day
from scoring.events import matching
from scoring.events.changing import as_it_stands, rule_of
from scoring.events.tables import tables
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from scoring.results.release import withdraw_results
from tests.factories import RulesFactory
from tests.pages import html_in
from tests.scoring.results.cast import change_key, correct, ready, release

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def two():
    """The same people in two contests; in the second, the families' wish holds too, and people are numbers."""
    return ready(), ready(rules=RulesFactory(name="Dairy Day", show_people_as="number"))


def made(superintendent, contests, **fields):
    data = {"submission": str(uuid4()), "name": "County Day", "by": "total", "points": "10 9 8"}
    data |= {"contests": [contest.pk for contest in contests], **fields}
    response = superintendent.post(reverse("event-new"), data)
    return response, Event.objects.last()


def act(client, event, what):
    return client.post(reverse("event-act", args=[event.pk]), {"submission": str(uuid4()), "act": what})


def page(client, name, event):
    return html_in(client.get(reverse(name, args=[event.pk])))


def test_a_day_adds_up_its_contests_and_says_how(superintendent, two):
    response, event = made(superintendent, two, parts_ties=two[1].pk)
    assert response.status_code == 302
    shown = page(superintendent, "event", event)
    assert "County Day" in shown
    assert "Senior, teams" in shown
    assert "613.06" in shown  # twice 306.53
    assert "Equal sums are parted by the total in Dairy Day" in shown
    by_ranks, other = made(superintendent, two[:1], name="Half a day")
    assert by_ranks.status_code == 422
    assert other == event


def test_a_contest_is_in_one_day_alone_and_points_are_whole_numbers(superintendent, two):
    made(superintendent, two)
    response, _event = made(superintendent, two, name="Another")
    assert response.status_code == 422
    assert "is in County Day already" in html_in(response)
    wrong, _event = made(superintendent, two, points="10 nine")
    assert "Whole numbers with spaces between" in html_in(wrong)


def test_nothing_is_public_before_every_contest_and_the_day_are_released(superintendent, client, two):
    _response, event = made(superintendent, two)
    release(two[0])
    assert act(superintendent, event, "release").status_code == 409
    assert "613.06" not in page(client, "event-public", event)
    release(two[1])
    assert "not released yet" in page(client, "event-public", event)
    assert act(superintendent, event, "release").status_code == 302
    shown = page(client, "event-public", event)
    assert "613.06" in shown
    assert "Given101x" not in shown  # one of the contests shows people as numbers
    assert "101" in shown
    withdraw_results(Contest.objects.get(pk=two[1].pk), "Sue", "a wrong key")
    assert "613.06" not in page(client, "event-public", event)


def test_a_correction_of_a_contest_is_one_of_the_day(superintendent, client, two):
    _response, event = made(superintendent, two)
    for contest in two:
        release(contest)
    act(superintendent, event, "release")
    change_key(two[0])
    before = page(client, "event-public", event)
    correct(two[0], "the key was typed wrong")
    after = page(client, "event-public", event)
    assert "the key was typed wrong" in after
    assert "the key was typed wrong" not in before
    assert table_of(before) != table_of(after)


def table_of(text):
    return text.split('class="sweepstakes"')[-1]


def test_the_trail_tells_of_it_and_a_released_day_stays_as_it_is(superintendent, two):
    _response, event = made(superintendent, two)
    for contest in two:
        release(contest)
    act(superintendent, event, "release")
    change = {"submission": str(uuid4()), "name": "Other", "by": "ranks", "points": "5", "contests": [two[0].pk]}
    assert superintendent.post(reverse("event-change", args=[event.pk]), change).status_code == 422
    act(superintendent, event, "withdraw")
    assert act(superintendent, event, "delete").status_code == 302
    assert not Event.objects.exists()
    assert Contest.objects.count() == 2
    site = TrailEntry.objects.filter(contest=None).order_by("pk").values_list("what", flat=True)
    assert [what for what in site if what.startswith("event_")] == [
        *("event_made", "event_released", "event_withdrawn", "event_deleted")
    ]
    assert SiteTrail.objects.exists()


def test_only_the_superintendent_sees_a_day_as_it_stands(superintendent, as_helper, client, two):
    _response, event = made(superintendent, two)
    for who in (client, as_helper(two[0], Duty.ANNOUNCER, "Ann")):
        assert who.get(reverse("event", args=[event.pk])).status_code in (302, 404)
        assert act(who, event, "release").status_code in (302, 404)


def test_books_make_the_same_sweepstakes_without_a_server(two, tmp_path):
    for contest in two:
        write_book(load_record_with_day(contest.pk), tmp_path / f"book-{contest.pk}")
    out, books = StringIO(), [str(tmp_path / f"book-{contest.pk}") for contest in two]
    call_command("event", *books, "--tie-contest", "2", "--out", str(tmp_path / "out"), stdout=out)
    teams = (tmp_path / "out" / "sweepstakes-teams.csv").read_text().splitlines()
    assert teams[0] == "division,rank,who,total,1 Harrow Creek Fall Judging Contest,2 Dairy Day,tie"
    assert teams[1].startswith("SR,1,Barley Hill,613.06,306.53,306.53,")
    people = (tmp_path / "out" / "sweepstakes-individuals.csv").read_text()
    assert "Family" not in people
    call_command("event", *books, "--by", "ranks", "--points", "5,3", "--out", str(tmp_path / "out"), stdout=out)
    assert "SR,1,Barley Hill,10,5,5," in (tmp_path / "out" / "sweepstakes-teams.csv").read_text()


def test_a_file_says_who_is_one_person_in_the_books(two, tmp_path):
    two[1].contestants.filter(number=101).update(first_name="Other")
    for contest in two:
        write_book(load_record_with_day(contest.pk), tmp_path / f"book-{contest.pk}")
    books, file = [str(tmp_path / f"book-{contest.pk}") for contest in two], tmp_path / "people.csv"

    def both(people=""):
        """The numbers of whoever has something from both contests."""
        file.write_text(people, encoding="utf-8")
        said = ["--people", str(file)] if people else []
        call_command("event", *books, *said, "--out", str(tmp_path / "out"), stdout=StringIO())
        with (tmp_path / "out" / "sweepstakes-individuals.csv").open(encoding="utf-8") as table:
            return {row["who"].strip(")")[-3:] for row in DictReader(table) if all(list(row.values())[4:6])}

    plain = both()
    assert "101" not in plain
    assert "102" in plain
    assert both("1,2\n101,101\n") == plain | {"101"}
    assert both("1;2\n102;\n;102\n") == plain - {"102"}
    for wrong, told in (("1,2\n101,999\n", "'999' is no number"), ("1,2\n101,101\n101,102\n", "in line 2 already")):
        with pytest.raises(CommandError, match=told):
            both(wrong)
    with pytest.raises(CommandError, match="column '2' is missing"):
        both("1\n101\n")
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("event", *books, "--people", str(tmp_path / "none.csv"), "--out", str(tmp_path / "out"))


def entry(contest, number):
    return contest.contestants.get(number=number)


def test_one_press_checks_somebody_in_for_every_contest_and_takes_it_back(superintendent, two):
    _response, event = made(superintendent, two)
    address = reverse("event-check-in", args=[event.pk])
    shown = superintendent.post(address, {"find": "given102x"})
    people = shown.context["people"]
    assert [len(who.entries) for who in people] == [2]
    sent = {"submission": str(uuid4()), "entry": [one.pk for one in people[0].entries], "in": "yes"}
    after = html_in(superintendent.post(address, sent, follow=True))
    assert "Given102x" in after
    assert [entry(contest, 102).checked_in_at is not None for contest in two] == [True, True]
    assert entry(two[0], 101).checked_in_at is None
    sent = {"submission": str(uuid4()), "entry": sent["entry"]}
    assert superintendent.post(address, sent | {"in": "yes"}).status_code == 409
    superintendent.post(address, sent | {"submission": str(uuid4()), "undo": "yes"})
    assert [entry(contest, 102).checked_in_at for contest in two] == [None, None]


def test_nobody_of_another_day_is_checked_in(superintendent, two):
    _response, event = made(superintendent, two)
    other = ready(rules=RulesFactory(name="Elsewhere"))
    sent = {"submission": str(uuid4()), "entry": [entry(other, 101).pk], "in": "yes"}
    assert superintendent.post(reverse("event-check-in", args=[event.pk]), sent).status_code == 409
    assert entry(other, 101).checked_in_at is None


def test_a_club_that_is_nearly_anothers_is_proposed_and_called_alike_by_one_press(superintendent, two):
    from contest.entries.teams import rename_team
    from contest.models import Team

    _response, event = made(superintendent, two)
    mistyped = Team.objects.get(division__contest=two[1], name="Barley Hill")
    rename_team(mistyped, "Barly Hill", "Sue")
    assert "Perhaps one club" in page(superintendent, "event", event)
    address = reverse("event-same", args=[event.pk])
    same = f"{mistyped.pk}-{Team.objects.get(division__contest=two[0], name='Barley Hill').pk}"
    assert superintendent.post(address, {"submission": str(uuid4()), "same": same}).status_code == 302
    mistyped.refresh_from_db()
    assert mistyped.name == "Barley Hill"
    assert "Perhaps one club" not in page(superintendent, "event", event)
    assert superintendent.post(address, {"submission": str(uuid4()), "same": same}).status_code == 409


def test_a_club_that_was_called_alike_is_called_as_before_again_unless_something_was_built_on_it(superintendent, two):
    from contest.entries.teams import rename_team
    from contest.models import Team

    _response, event = made(superintendent, two)
    one, other = (Team.objects.get(division__contest=contest, name="Barley Hill") for contest in two)
    rename_team(other, "Barly Hill", "Sue")
    address = reverse("event-same", args=[event.pk])
    assert "Clubs called alike" not in page(superintendent, "event", event)

    def press(**what):
        return superintendent.post(address, {"submission": str(uuid4()), **what})

    def joined():
        press(same=f"{other.pk}-{one.pk}")
        return TrailEntry.objects.filter(contest=two[1]).last().pk

    back = joined()
    assert "Call it Barly Hill again" in page(superintendent, "event", event)
    assert press(back=back).status_code == 302
    other.refresh_from_db()
    assert other.name == "Barly Hill"
    assert TrailEntry.objects.filter(contest=two[1]).last().what == "taken_back"
    assert "Clubs called alike" not in page(superintendent, "event", event)
    assert press(back=back).status_code == 409
    assert press(back="many").status_code == 409

    back = joined()
    Team.objects.filter(pk=other.pk).update(name="Barley hill")  # as though a change beside the trail
    assert press(back=back).status_code == 409
    Team.objects.filter(pk=other.pk).update(name="Barley Hill")
    Team.objects.create(division=other.division, name="Barly Hill")
    assert press(back=back).status_code == 409  # another has the name by now
    other.refresh_from_db()
    assert other.name == "Barley Hill"
    assert "Call it Barly Hill again" not in page(superintendent, "event", event)


def test_whoever_would_be_in_two_places_at_once_is_told(superintendent, two):
    _response, event = made(superintendent, two)
    assert "In two places at once" not in page(superintendent, "event", event)
    for contest, starts in zip(two, ("09:00", "09:20"), strict=True):
        Contest.objects.filter(pk=contest.pk).update(starts_at=starts, minutes_per_class=15)
        contest.contestants.filter(number=101).update(group="A")
    shown = page(superintendent, "event", event)
    assert "In two places at once" in shown
    assert "09:15–09:30" in shown  # class 2 of the first
    assert "09:20–09:35" in shown  # during class 1 of the second
    assert "09:35–09:50" not in shown
    Contest.objects.filter(pk=two[1].pk).update(starts_at="09:30")
    assert "In two places at once" not in page(superintendent, "event", event)


def say(client, event, what, one, other=()):
    pks = {"one": [row.pk for row in one], "other": [row.pk for row in other]}
    data = {"submission": str(uuid4()), "say": what, **pks}
    return client.post(reverse("event-people", args=[event.pk]), data)


def test_people_of_nearly_one_name_are_proposed_and_said_to_be_one_or_two_and_it_is_taken_back(superintendent, two):
    here, there = (contest.contestants.get(number=101) for contest in two)
    there.first_name = f"{here.first_name}e"
    there.save(update_fields=["first_name"])
    _response, event = made(superintendent, two)
    shown = page(superintendent, "event-people", event)
    assert "Perhaps one person" in shown
    assert f'value="{there.pk}"' in shown

    def tables_with_both():
        lines = [line for table in tables_as_they_stand(event) for line in table.lines if "101" in line.who]
        return len([line for line in lines if all(line.parts)])

    assert tables_with_both() == 0
    assert say(superintendent, event, "one", [here], [there]).status_code == 302
    assert tables_with_both() == 1
    assert f'value="{there.pk}"' in page(superintendent, "event-people", event)  # to be taken back
    assert say(superintendent, event, "nothing", [here, there]).status_code == 302
    assert tables_with_both() == 0
    say(superintendent, event, "two", [here], [there])
    assert matching.proposals(people_of(two)) == []
    assert tables_with_both() == 0


def test_two_people_of_one_name_are_told_apart_and_nobody_is_in_a_contest_twice(superintendent, two):
    here, there = (contest.contestants.get(number=101) for contest in two)
    other = two[0].contestants.get(number=102)
    _response, event = made(superintendent, two)
    assert len(next(who for who in people_of(two) if here.pk in [entry.pk for entry in who.entries]).entries) == 2
    say(superintendent, event, "two", [here], [there])
    assert len(next(who for who in people_of(two) if here.pk in [entry.pk for entry in who.entries]).entries) == 1
    assert say(superintendent, event, "one", [here], [other]).status_code == 409
    assert say(superintendent, event, "nothing", [other]).status_code == 409
    strange = ready()
    wrong = say(superintendent, event, "one", [here], [strange.contestants.get(number=101)])
    assert "not in a contest of this day" in html_in(wrong)


def tables_as_they_stand(event):
    contests = event.contests()
    return tables(as_it_stands(contests), rule_of(event, contests))


def test_the_sweepstakes_are_printed_and_stand_on_todays_page_once_they_are_released(superintendent, client, two):
    def printed():
        document = DOCUMENTS["sweepstakes"]
        return html_of(document, gather_material(two[0].pk, document), Choice())[0]

    assert "of no day of several contests" in printed()
    _response, event = made(superintendent, two)
    Contest.objects.filter(pk__in=[contest.pk for contest in two]).update(held_on=timezone.localdate())
    assert "the sweepstakes are not released" in printed()
    assert "County Day" not in html_in(client.get(reverse("today")))
    for contest in two:
        release(contest)
    assert "County Day" not in html_in(client.get(reverse("today")))
    act(superintendent, event, "release")
    paper = printed()
    assert "613.06" in paper
    assert "Champions" in paper
    assert "Given101x" not in paper  # one of the contests shows people as numbers
    assert "not released" not in paper
    assert reverse("event-public", args=[event.pk]) in html_in(client.get(reverse("today")))
