"""What the superintendent watches: progress, doubts and keys."""

from django.urls import path

from contest.watch import doubt_views, history_views, key_views, progress_views

urlpatterns = [
    path("progress/", progress_views.progress, name="progress"),
    path("progress/<int:number>/", progress_views.progress_of_class, name="progress-class"),
    path("doubts/", doubt_views.doubts, name="doubts"),
    path("doubts/news/", doubt_views.news, name="doubts-news"),
    path("people/<int:number>/", doubt_views.absent, name="absent"),
    path("cards/<int:class_number>/<int:number>/", history_views.card, name="card"),
    path("cards/<int:class_number>/<int:number>/decide/", history_views.decide_card, name="decide-card"),
    path("reasons/<int:class_number>/<int:official>/<int:number>/", history_views.reasons_score, name="reasons-score"),
    path(
        "reasons/<int:class_number>/<int:official>/<int:number>/decide/",
        history_views.decide_reasons_score,
        name="decide-reasons-score",
    ),
    path("marks/<int:part>/<int:number>/", history_views.mark, name="mark"),
    path("marks/<int:part>/<int:number>/decide/", history_views.decide_mark, name="decide-mark"),
    path("marks/<int:part>/teams/<int:team>/", history_views.team_mark, name="team-mark"),
    path("marks/<int:part>/teams/<int:team>/decide/", history_views.decide_team_mark, name="decide-team-mark"),
    path("readings/<int:reading>/", history_views.put_right, name="put-right"),
    path("readings/reasons/<int:reading>/", history_views.put_reasons_right, name="put-right-reasons"),
    path("readings/marks/<int:reading>/", history_views.put_mark_right, name="put-right-mark"),
    path("keys/", key_views.keys, name="keys"),
    path("keys/<int:number>/", key_views.key, name="key"),
    path("keys/<int:number>/preview/", key_views.preview, name="key-preview"),
    path("keys/<int:number>/settle/", key_views.settle, name="settle-key"),
    path("keys/<int:number>/accept/", key_views.accept, name="accept-key"),
]
