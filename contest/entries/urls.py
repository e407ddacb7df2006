from django.urls import path

from contest.entries.views import check_in, groups, load, numbers, people, teams

urlpatterns = [
    path("", people.entries, name="entries"),
    path("add/", people.add, name="entries-add"),
    path("<int:contestant>/", people.person, name="entry"),
    path("<int:contestant>/move/", people.move, name="entry-move"),
    path("<int:contestant>/substitute/", people.substitute, name="entry-substitute"),
    path("<int:contestant>/state/", people.state, name="entry-state"),
    path("<int:contestant>/ineligible/", people.ineligible, name="entry-ineligible"),
    path("<int:contestant>/needs/", people.needs, name="entry-needs"),
    path("<int:contestant>/ranked/", people.unranked, name="entry-unranked"),
    path("<int:contestant>/remove/", people.remove, name="entry-remove"),
    path("from/", people.origins, name="entries-origins"),
    path("teams/", teams.teams, name="teams"),
    path("teams/<str:division>/sizes/", teams.sizes, name="team-sizes"),
    path("teams/<int:team>/", teams.team, name="team"),
    path("teams/<int:team>/rename/", teams.rename, name="team-rename"),
    path("teams/<int:team>/merge/", teams.merge, name="team-merge"),
    path("load/", load.load, name="entries-load"),
    path("load/<uuid:key>/", load.read, name="entries-read"),
    path("load/preview/", load.preview, name="entries-preview"),
    path("numbers/", numbers.numbers, name="entries-numbers"),
    path("groups/", groups.groups, name="groups"),
    path("groups/deal/", groups.deal, name="groups-deal"),
    path("groups/move/", groups.move, name="groups-move"),
    path("check-in/", check_in.check_in, name="check_in"),
    path("check-in/people/", check_in.people, name="check-in-people"),
    path("check-in/hello/", check_in.hello, name="check_in-hello"),
    path("check-in/missing/", check_in.missing, name="check-in-missing"),
    path("check-in/scratch/", check_in.scratch, name="check-in-scratch"),
]
