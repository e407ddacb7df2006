"""A club's season: members with consent, books and practices put in, what is said of a member, all of it deleted."""

import io
import random
import re
from datetime import date
from pathlib import Path
from uuid import uuid4

import pdfplumber
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction

from contest.models import BroughtFile, PracticeClass, SiteTrail, Submission, TrailEntry, TrailName
from contest.practice.joining import join_practice
from contest.practice.making import make_practice
from contest.practice.running import go_to, hand_in, set_key
from contest.practice.sets import let_speak, score_as_coach, score_as_member, set_up_reasons
from scoring.core.placing import PLACINGS, score
from scoring.core.practice import ASPECTS
from scoring.models import Season, SeasonClass, SeasonMember, SeasonPlacing, SeasonReasons, SeasonSource
from scoring.season import changing
from scoring.season.sheet import SeasonSheets
from tests.contest.uploads.cast import zipped
from tests.pages import html_in


def words(reply):
    """What a page says, without its marks."""
    return " ".join(re.sub(r"<[^>]*>", " ", html_in(reply)).split())


pytestmark = pytest.mark.django_db(transaction=True)  # a thread of the server reads what is brought

Step = PracticeClass.Step
MINE = {"Ana Lind": 3, "Bo Ashby": 4, "Cy Dunn": 5}
KEYS = (("3124", "3 5 2"), ("1234", "2 7 4"), ("4213", "6 1 3"), ("2143", "4 4 4"))
"""Two classes of steers and two of hogs."""


def book(
    seed=1, held_on="2026-09-05", name="Fall Contest", people=(*MINE, "Dee Else", "Eli Else", "Fay Else"), **first
):
    """A contest of two clubs; `first` is how those whose first name it is placed every class."""
    chance = random.Random(seed)
    classes = "".join(
        f'[[class]]\nnumber = {at}\nname = "Class {at}"\ndivisions = ["ALL"]\nofficial = "{official}"\n'
        f"cuts = [{cuts.replace(' ', ', ')}]\n"
        + ('category = "BEEF"\n' if at < 3 else 'category = "HOGS"\n')
        + ('reasons = ["ALL"]\n' if at == 1 else "")
        for at, (official, cuts) in enumerate(KEYS, start=1)
    )
    toml = (
        f'format = 1\n[contest]\nname = "{name}"\nheld_on = {held_on}\nreadings_per_card = 1\n'
        '[[division]]\ncode = "ALL"\nname = "All"\nteam_counting = 0\n[[category]]\ncode = "BEEF"\nname = "Beef"\n'
        f'[[category]]\ncode = "HOGS"\nname = "Hogs"\n{classes}'
    )
    entries, cards, reasons = ["number,division,team,first_name,last_name,role"], ["class,number,placing"], []
    for at, whole in enumerate(people, start=11):
        one, last = whole.split()
        entries.append(f"{at},ALL,{'Others' if last == 'Else' else 'Harrow Creek'},{one},{last},member")
        cards += [f"{number},{at},{first.get(one) or chance.choice(PLACINGS)}" for number in range(1, 5)]
        reasons.append(f"1,{at},Judge,{40 + at % 5}")
    return zipped(
        {
            "contest.toml": toml.encode(),
            "entries.csv": "\n".join(entries).encode(),
            "cards.csv": "\n".join(cards).encode(),
            "reasons.csv": "\n".join(["class,number,official,score", *reasons]).encode(),
        }
    )


@pytest.fixture
def season():
    made = changing.make_season("Harrow Creek, fall", "coach")
    for name, number in MINE.items():
        changing.add_member(made, number, name, True, "coach")
    return made


def bring(coach, season, data):
    file = SimpleUploadedFile("book.zip", data, "application/zip")
    return coach.post(f"/seasons/{season.pk}/books/", {"submission": uuid4(), "file": file})


def confirm(coach, address, **more):
    """Save what the page proposes, or what is said otherwise."""
    form = coach.get(address).context["form"]
    fields = {row[1].html_name: row[1].value() or "" for row in form.rows}
    fields |= {"held_on": form["held_on"].value(), "counts": "on" if form["counts"].value() else ""}
    return coach.post(address, {"submission": uuid4(), **fields, **more})


def put_in(coach, season, data, **more):
    there = bring(coach, season, data)
    assert there.status_code == 302, html_in(there)
    return confirm(coach, there.url, **more)


def rows():
    return SeasonSource.objects.count(), SeasonClass.objects.count(), SeasonPlacing.objects.count()


def test_a_name_is_kept_with_consent_alone(superintendent, season):
    address = f"/seasons/{season.pk}/members/"
    refused = superintendent.post(address, {"submission": uuid4(), "number": "9", "name": "Gus Field"})
    assert refused.status_code == 422
    assert "A name is kept only with consent" in html_in(refused)
    assert "Gus Field" in html_in(refused)  # what was typed is still there
    assert superintendent.post(address, {"submission": uuid4(), "number": "9", "name": ""}).status_code == 302
    nameless = SeasonMember.objects.get(number=9)
    assert (nameless.name, nameless.consent_at, nameless.consent_by) == ("", None, "")
    with pytest.raises(IntegrityError), transaction.atomic():
        SeasonMember.objects.filter(pk=nameless.pk).update(name="Gus Field")


def test_withdrawing_consent_takes_the_name(superintendent, season):
    ana = SeasonMember.objects.get(number=3)
    address = f"/seasons/{season.pk}/members/{ana.pk}/change/"
    superintendent.post(address, {"submission": uuid4(), "number": "3", "name": ""})
    ana.refresh_from_db()
    assert (ana.name, ana.consent_by) == ("", "")


def test_two_members_never_have_one_number(superintendent, season):
    address = f"/seasons/{season.pk}/members/"
    reply = superintendent.post(address, {"submission": uuid4(), "number": "3", "name": ""})
    assert reply.status_code == 422
    assert "another member has number 3" in html_in(reply).casefold()


def test_of_a_book_only_the_clubs_own_rows_are_kept(superintendent, season):
    assert put_in(superintendent, season, book()).status_code == 302
    assert rows() == (1, 4, 12)
    assert SeasonReasons.objects.count() == 3
    first = SeasonClass.objects.get(number=1)
    assert (first.category, first.placed, first.heard) == ("Beef", 6, 6)
    ana = SeasonSheets(season).of(SeasonMember.objects.get(number=3))
    (there,) = ana.attended
    expected = [
        score(official, tuple(map(int, cuts.split())), placed.placing)
        for (official, cuts), placed in zip(KEYS, there.placed, strict=True)
    ]
    assert [placed.points for placed in there.placed] == expected
    assert (there.earned, there.most) == (sum(expected) + 41, 250)  # she was number 11 in it
    page = html_in(superintendent.get(ana.member.get_absolute_url()))
    assert "Where points go" in page
    assert "Else" not in page


def test_nothing_is_kept_before_somebody_said_who_is_who(superintendent, season):
    there = bring(superintendent, season, book())
    BroughtFile.every.all().delete()  # it is found by what was read alone
    page = html_in(superintendent.get(there.url))
    assert "look at each" in page
    assert rows() == (0, 0, 0)


def test_a_book_that_comes_twice_counts_once(superintendent, season):
    put_in(superintendent, season, book())
    there = bring(superintendent, season, book())
    assert "It is in the season already" in html_in(superintendent.get(there.url))
    confirm(superintendent, there.url)
    assert rows() == (1, 4, 12)


def test_a_corrected_book_takes_the_place_of_the_one_before(superintendent, season):
    put_in(superintendent, season, book())
    there = bring(superintendent, season, book(Ana="3124"))
    assert "puts this one in its place" in html_in(superintendent.get(there.url))
    confirm(superintendent, there.url)
    assert rows() == (1, 4, 12)
    assert set(SeasonPlacing.objects.filter(entry__member__number=3).values_list("placing", flat=True)) == {"3124"}


def test_who_it_was_is_remembered_for_a_corrected_book(superintendent, season):
    """Bo stands in the book under another name; the coach said so once."""
    bo = SeasonMember.objects.get(number=4)
    people = ("Ana Lind", "Robert Ashbee", "Cy Dunn", "Dee Else", "Eli Else", "Fay Else")
    put_in(superintendent, season, book(people=people), **{f"member-{bo.pk}": "12"})
    there = bring(superintendent, season, book(seed=2, people=people))
    proposed = {row[0].member.pk: row[1].value() for row in superintendent.get(there.url).context["form"].rows}
    assert proposed[bo.pk] == 12


def test_names_that_are_only_near_are_shown_and_not_filled_in(superintendent, season):
    people = ("Anna Lind", "Bo Ashby", "Bo Ashby", "Dee Else")
    there = bring(superintendent, season, book(people=people))
    page = superintendent.get(there.url)
    assert [row[1].value() for row in page.context["form"].rows] == [None, None, None]  # nearly Ana, and two Bos
    assert "Perhaps: Anna Lind ( Harrow Creek , 11)" in words(page)


def test_two_members_are_not_one_person(superintendent, season):
    bo = SeasonMember.objects.get(number=4)
    reply = put_in(superintendent, season, book(), **{f"member-{bo.pk}": "11"})
    assert reply.status_code == 422
    assert "Ana Lind is that person already." in html_in(reply)
    assert rows() == (0, 0, 0)


def test_in_a_large_book_a_typed_number_is_looked_at_twice(superintendent, season):
    people = (*MINE, *(f"P{at} Else" for at in range(60)))
    there = bring(superintendent, season, book(people=people))
    bo = SeasonMember.objects.get(number=4)
    form = superintendent.get(there.url).context["form"]
    fields = {row[1].html_name: row[1].value() for row in form.rows}
    seen = {f"seen-{name}": value for name, value in fields.items()}
    sent = {**fields, **seen, f"member-{bo.pk}": "20", "held_on": "2026-09-05"}
    reply = superintendent.post(there.url, {"submission": uuid4(), **sent})
    assert reply.status_code == 422
    assert "In it, 20 is P6 Else, Others, 20." in html_in(reply)
    again = superintendent.post(there.url, {"submission": uuid4(), **sent, f"seen-member-{bo.pk}": "20"})
    assert again.status_code == 302
    assert bo.entries.get().number == 20


def test_a_file_that_is_no_book_is_refused_in_words(superintendent, season):
    reply = bring(superintendent, season, zipped({"contest.toml": b"format = 1\n"}))
    assert reply.status_code == 422
    assert "Nothing was saved" in html_in(reply)


def test_a_book_of_another_season_s_page_is_not_shown(superintendent, season):
    other = changing.make_season("Other", "coach")
    there = bring(superintendent, season, book())
    assert superintendent.get(there.url.replace(f"/{season.pk}/", f"/{other.pk}/", 1)).status_code == 302


def practised():
    practice = make_practice("Market steers", "1234", 12, keeps=False, by="coach")
    judged = practice.classes.get()
    set_key(judged, "3124", (3, 5, 2))
    ana = join_practice(practice, "ana lind")
    go_to(judged, Step.JOINING, Step.PLACING)
    judged.refresh_from_db()
    hand_in(ana, 1, "1324", {})
    for step in range(Step.PLACING, Step.SCORES):
        go_to(judged, step, step + 1)
        judged.refresh_from_db()
    return practice


def test_a_practice_is_put_in_by_its_members_names(superintendent, season):
    practice = practised()
    address = f"/seasons/{season.pk}/practices/{practice.pk}/"
    assert address in html_in(superintendent.get(season.get_absolute_url()))
    assert confirm(superintendent, address).status_code == 302
    (placing,) = SeasonPlacing.objects.all()
    assert (placing.entry.member.number, placing.placing, placing.points) == (3, "1324", 47)
    assert not placing.entry.source.counts
    assert (placing.judged.placed, placing.judged.placed_sum) == (0, 0)  # of one alone it would be her own score
    practice.delete()
    assert SeasonPlacing.objects.count() == 1


def test_the_coachs_score_of_a_set_comes_with_a_practice_and_a_members_does_not(superintendent, season):
    practice = practised()
    ben = join_practice(practice, "ben orrin")
    set_up_reasons(practice, 2, dict(zip(ASPECTS, practice.weights, strict=True)), peers_score=True)
    judged, ana = practice.classes.get(), practice.members.get(name="ana lind")
    marks = {"accuracy": 9, "delivery": 8, "terms": 7, "organisation": 6}
    let_speak(judged, ana)
    score_as_member(judged.sets.get(), ben, dict.fromkeys(marks, 10), "")
    address = f"/seasons/{season.pk}/practices/{practice.pk}/"
    confirm(superintendent, address)
    assert not SeasonReasons.objects.exists()
    score_as_coach(judged, ana, marks, "")
    confirm(superintendent, address)  # put in again, it takes its own place
    (said,) = SeasonReasons.objects.all()
    # 9, 8, 7 and 6 of 10 by 4, 2, 2 and 2 of 10 are 78 per cent, of 50 points 39
    assert (said.entry.member.number, said.points, said.given) == (3, 3900, True)
    assert SeasonPlacing.objects.count() == 1


def test_deleting_a_member_leaves_nothing_of_them(superintendent, season):
    put_in(superintendent, season, book())
    ana = SeasonMember.objects.get(number=3)
    address = f"/seasons/{season.pk}/members/{ana.pk}/delete/"
    assert "go for good" in html_in(superintendent.get(address))
    assert SeasonMember.objects.filter(pk=ana.pk).exists()  # asking deletes nothing
    assert superintendent.post(address, {"submission": uuid4()}).status_code == 302
    assert rows() == (1, 4, 8)
    assert SeasonReasons.objects.count() == 2
    for model in (Season, SeasonMember, SeasonSource, SeasonClass, SeasonPlacing, SeasonReasons):
        assert "Ana" not in str(list(model.objects.values()))
    sentences = " ".join(str(list(model.objects.values())) for model in (TrailEntry, TrailName, SiteTrail, Submission))
    assert "season_member_deleted" in sentences
    assert "Ana" not in sentences
    assert superintendent.get(address).status_code == 404


def test_deleting_a_season_and_taking_out_a_contest(superintendent, season):
    put_in(superintendent, season, book())
    source = SeasonSource.objects.get()
    superintendent.post(f"/seasons/{season.pk}/sources/{source.pk}/out/", {"submission": uuid4()})
    assert rows() == (0, 0, 0)
    put_in(superintendent, season, book())
    superintendent.post(f"/seasons/{season.pk}/delete/", {"submission": uuid4()})
    assert rows() == (0, 0, 0)
    assert not SeasonMember.objects.exists()


def test_an_empty_season_and_a_member_without_results_have_their_pages(superintendent, season):
    page = html_in(superintendent.get(season.get_absolute_url()))
    assert "No result that counts yet." in page
    ana = SeasonMember.objects.get(number=3)
    assert "In no contest or practice of the season yet." in html_in(superintendent.get(ana.get_absolute_url()))
    bare = changing.make_season("Bare", "coach")
    assert "Add members first" in html_in(superintendent.get(bare.get_absolute_url()))


def test_the_team_and_its_ties_are_told(superintendent, season):
    changing.change_season(season, "Harrow Creek, fall", 1, 2, 1)
    people = (*MINE, "Dee Else", "Eli Else", "Fay Else")
    put_in(superintendent, season, book(people=people, Ana="3124", Bo="3124", Cy="4321"))
    SeasonReasons.objects.update(points=4000)
    page = words(superintendent.get(season.get_absolute_url()))
    assert "1 member by the best 1 of the last 2 results that count." in page
    assert "1 place is left, and these are equal: 3 Ana Lind , 4 Bo Ashby ." in page


def test_progress_is_told_with_its_uncertainty(superintendent, season):
    for at in range(4):
        put_in(superintendent, season, book(seed=at, held_on=f"2026-0{5 + at}-05", name=f"Contest {at}"))
    sheets = SeasonSheets(season)
    assert len(sheets.slopes) == 3
    slope = sheets.of(SeasonMember.objects.get(number=3)).slope
    assert slope.low < slope.mean < slope.high
    page = html_in(superintendent.get(SeasonMember.objects.get(number=3).get_absolute_url()))
    assert "with 95 % certainty between" in page
    assert "What to practise next" in page


def test_what_the_others_scored_leaves_out_the_member(season):
    source = season.sources.create(kind="contest", name="A", held_on=date(2026, 9, 5), digest="d", counts=True)
    judged = source.classes.create(
        number=1, name="C", animals="1234", perfect=50, official="1234", cuts=(1, 1, 1), placed=6, placed_sum=240
    )
    entry = source.entries.create(member=season.members.get(number=3), number=1)
    entry.placings.create(judged=judged, placing="1234", points=50)
    (placed,) = SeasonSheets(season).of(entry.member).placed
    assert placed.others == 38  # (240 - 50) / 5


def test_no_name_stands_in_an_address_or_a_title(superintendent, season):
    put_in(superintendent, season, book())
    ana = SeasonMember.objects.get(number=3)
    page = superintendent.get(ana.get_absolute_url()).content.decode()
    assert "Ana" not in page.split("<title>")[1].split("</title>")[0]
    assert (
        "Ana"
        not in superintendent.get(season.get_absolute_url()).content.decode().split("<title>")[1].split("</title>")[0]
    )


def test_only_the_superintendent_sees_a_season(client, season):
    assert client.get(season.get_absolute_url()).status_code in (302, 403, 404)


def test_the_page_for_a_parent_is_one_page_with_its_cautions(superintendent, season):
    for at in range(4):
        put_in(superintendent, season, book(seed=at, held_on=f"2026-0{5 + at}-05", name=f"Contest {at} " + 9 * "long "))
    ana = SeasonMember.objects.get(number=3)
    changing.change_member(ana, 3, "Anastasia-Maximiliana Featherstonehaugh-Wolfeschlegelstein", True, "coach")
    for paper in ("letter", "a4"):
        made = superintendent.get(f"{ana.get_absolute_url()}paper/{paper}/")
        assert made.status_code == 200
        assert "Ana" not in made.headers["Content-Disposition"]
        with pdfplumber.open(io.BytesIO(made.content)) as pdf:
            (page,) = pdf.pages
            text = " ".join(page.extract_text().split())
        assert "All figures are uncertain" in text
        assert "with 95 % certainty between" in text
        assert "The local rules and the ring steward decide." in text
        assert "The coach deletes all of it" in text
    assert superintendent.get(f"{ana.get_absolute_url()}paper/a3/").status_code == 404
    assert not list((Path(settings.DATA_FOLDER) / "prints").glob("season-*"))


def test_the_page_says_why_it_cannot_be_made(superintendent, season, monkeypatch):
    monkeypatch.setattr("scoring.season.paper.LONGEST", 0)
    ana = SeasonMember.objects.get(number=3)
    reply = superintendent.get(f"{ana.get_absolute_url()}paper/a4/")
    assert reply.status_code == 409
    assert "stopped without a word" in html_in(reply)
