"""Every address of the site, read off the site itself so that none can be forgotten."""

import re
from uuid import UUID, uuid4

from django.urls import URLPattern, get_resolver

from contest.models import (
    Practice,
    PracticeMember,
    PracticePicture,
    PracticeSet,
    PracticeSetScore,
    Reading,
    ReasonsReading,
    ScannedCard,
)


def values_of(contest):
    """What each argument of an address can be in this contest; an argument that is not here has no address."""
    people = list(contest.contestants.order_by("number"))
    division = contest.divisions.first()
    teams = [team.pk for team in division.teams.all()[:2]]
    readings = Reading.objects.filter(judging_class__contest=contest).first()
    of_reasons = ReasonsReading.objects.filter(judging_class__contest=contest).first()
    links = contest.take_home_links.exclude(team=None).first(), contest.take_home_links.exclude(contestant=None).first()
    return {
        "pk": [contest.pk],
        "number": [1, 2, people[0].number, people[-1].number],  # classes, and contestants
        "class_number": [1],
        "contestant": [people[0].pk],
        "team": teams,
        "who": [people[0].pk, people[-1].pk, *teams],
        "division": [division.code],
        "code": ["overall", "placing", "reasons", *contest.parts.values_list("code", flat=True)],
        "kind": ["contestants", "teams", "classes", "divisions"],
        "choices": ["KEEP"],
        "slips": ["card", "reasons", "mark", "choice"],
        "ending": ["zip", "xlsx"],
        "token": [link.token for link in links if link],
        "room": list(contest.rooms.values_list("pk", flat=True)[:2]),
        "official": list(contest.reasons_officials.values_list("pk", flat=True)),
        "reading": [given for row in (readings, of_reasons) if row for given in (row.submission, row.pk)],
        "scan": list(contest.scans.values_list("pk", flat=True)) or [1],
        "card": list(ScannedCard.objects.filter(scan__contest=contest).values_list("pk", flat=True)[:1]) or [1],
        "judge": list(contest.committee_officials.values_list("pk", flat=True)) or [1],
        "part": contest.parts.values_list("pk", flat=True),
        "document": ["results", "standings", "packets", "class-reports"],
        "duty": ["tabulator"],
        "scope": ["individual"],
        "preset": ["livestock"],
        "move": ["begin", "next"],
        "key": [uuid4()],
        "secret": ["nobody-was-invited"],
        "practice": list(Practice.objects.values_list("pk", flat=True)[:1]) or [1],
        "member": list(PracticeMember.objects.values_list("pk", flat=True)[:1]) or [1],
        "picture": list(PracticePicture.objects.values_list("pk", flat=True)[:1]) or [1],
        "set": list(PracticeSet.objects.values_list("pk", flat=True)[:1]) or [1],
        "score": list(PracticeSetScore.objects.values_list("pk", flat=True)[:1]) or [1],
        "language": ["en"],
        "paper": ["a4"],
        "digest": ["0"],
        "name": ["0001-20260425-090000"],
        **{
            name: [1]
            for name in (
                "season",
                "season_member",
                "kept",
                "source",
                "event",
                "protest",
                "link",
                "award_list",
                "helper",
                "row",
                "job",
                "revision",
                "account",
            )
        },
    }


def addresses(values):
    """Every address, with each of the values of its arguments."""
    for route in routes(get_resolver().url_patterns):
        yield from filled(route, values)


def routes(patterns, before=""):
    for entry in patterns:
        route = before + str(entry.pattern)
        if isinstance(entry, URLPattern):
            yield route
        else:
            yield from routes(entry.url_patterns, route)


def filled(route, values):
    found = re.search(r"<(?:(\w+):)?(\w+)>", route)
    if not found:
        yield "/" + route
        return
    kind, name = found.groups()
    for value in values[name]:
        if (kind == "uuid") == isinstance(value, UUID):
            yield from filled(route.replace(found[0], str(value), 1), values)
