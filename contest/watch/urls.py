"""What the superintendent watches: progress, doubts and keys."""

from django.urls import path

from contest.watch import doubt_views, history_views, key_views, progress_views

PAPERS = {
    "card": ("cards/<int:class_number>/<int:number>/", history_views.find_card),
    "reasons-score": ("reasons/<int:class_number>/<int:official>/<int:number>/", history_views.find_reasons),
    "mark": ("marks/<int:part>/<int:number>/", history_views.find_mark),
    "team-mark": ("marks/<int:part>/teams/<int:team>/", history_views.find_team_mark),
}
"""The pages of cards and slips: each by the name of its address, and where a decision about it goes beside it."""

urlpatterns = [
    path("progress/", progress_views.progress, name="progress"),
    path("progress/<int:number>/", progress_views.progress_of_class, name="progress-class"),
    path("doubts/", doubt_views.doubts, name="doubts"),
    path("doubts/news/", doubt_views.news, name="doubts-news"),
    path("people/<int:number>/", doubt_views.absent, name="absent"),
    path("readings/<int:reading>/", history_views.put_right, name="put-right"),
    path("readings/reasons/<int:reading>/", history_views.put_reasons_right, name="put-right-reasons"),
    path("readings/marks/<int:reading>/", history_views.put_mark_right, name="put-right-mark"),
    path("keys/", key_views.keys, name="keys"),
    path("keys/<int:number>/", key_views.key, name="key"),
    path("keys/<int:number>/preview/", key_views.preview, name="key-preview"),
    path("keys/<int:number>/settle/", key_views.settle, name="settle-key"),
    path("keys/<int:number>/accept/", key_views.accept, name="accept-key"),
]
for name, (address, find) in PAPERS.items():
    urlpatterns += [
        path(address, history_views.history, {"find": find}, name=name),
        path(f"{address}decide/", history_views.decide, {"find": find}, name=f"decide-{name}"),
    ]
