from django.urls import include, path

from contest.health.views import health, healthz, readyz
from contest.outbox import arrived
from contest.overview import views

handler400 = "contest.web.middleware.bad_request"

urlpatterns = [
    path("contests/<int:pk>/desk/", include("contest.desk.urls")),  # asked the most, so it is looked for first
    path("", views.contests, name="contests"),
    path("healthz", healthz, name="healthz"),
    path("readyz", readyz, name="readyz"),
    path("health/", health, name="health"),
    path("sent/<uuid:key>/", arrived, name="sent"),
    path("look/", views.look, name="look"),
    path("language/", include("contest.language.urls")),
    path("copies/", include("contest.copies.urls")),
    path("contests/<int:pk>/", views.contest, name="contest"),
    path("contests/<int:pk>/classes/<int:number>/", views.judging_class, name="class"),
    path("contests/<int:pk>/standings/", include("scoring.standings.urls")),
    path("", include("scoring.results.urls")),
    path("events/", include("scoring.events.urls")),
    path("library/", include("scoring.library.urls")),
    path("seasons/", include("scoring.season.urls")),
    path("", include("scoring.board.urls")),
    path("", include("contest.history.urls")),
    path("", include("contest.bin.urls")),
    path("", include("contest.privacy.urls")),
    path("", include("contest.helpers.urls")),
    path("", include("contest.practice.urls")),
    path("", include("contest.setup.urls")),
    path("", include("contest.trail.urls")),
    path("uploads/", include("contest.uploads.urls")),
    path("contests/<int:pk>/entries/", include("contest.entries.urls")),
    path("contests/<int:pk>/scanning/", include("contest.scanning.urls")),
    path("contests/<int:pk>/watch/", include("contest.watch.urls")),
    path("contests/<int:pk>/scores/", include("reasons.scores.urls")),
    path("contests/<int:pk>/reasons/", include("reasons.day.urls")),
    path("contests/<int:pk>/results/next-level/", include("scoring.next_level.urls")),
    path("contests/<int:pk>/prints/", include("scoring.prints.urls")),
]

handler500 = "contest.health.answers.server_error"
