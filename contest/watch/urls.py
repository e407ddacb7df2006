"""What the superintendent watches: progress, doubts and keys."""

from django.urls import path

from contest.watch.views import doubts, history, keys, progress

PAPERS = {
    "card": ("cards/<int:class_number>/<int:number>/", history.find_card),
    "reasons-score": ("reasons/<int:class_number>/<int:official>/<int:number>/", history.find_reasons),
    "mark": ("marks/<int:part>/<int:number>/", history.find_mark),
    "team-mark": ("marks/<int:part>/teams/<int:team>/", history.find_team_mark),
}
"""The pages of cards and slips: each by the name of its address, and where a decision about it goes beside it."""

urlpatterns = [
    path("progress/", progress.progress, name="progress"),
    path("progress/<int:number>/", progress.progress_of_class, name="progress-class"),
    path("doubts/", doubts.doubts, name="doubts"),
    path("doubts/news/", doubts.news, name="doubts-news"),
    path("people/<int:number>/", doubts.absent, name="absent"),
    path("readings/<int:reading>/", history.put_right, name="put-right"),
    path("readings/reasons/<int:reading>/", history.put_reasons_right, name="put-right-reasons"),
    path("readings/marks/<int:reading>/", history.put_mark_right, name="put-right-mark"),
    path("keys/", keys.keys, name="keys"),
    path("keys/<int:number>/", keys.key, name="key"),
    path("keys/<int:number>/preview/", keys.preview, name="key-preview"),
    path("keys/<int:number>/settle/", keys.settle, name="settle-key"),
    path("keys/<int:number>/accept/", keys.accept, name="accept-key"),
]
for name, (address, find) in PAPERS.items():
    urlpatterns += [
        path(address, history.history, {"find": find}, name=name),
        path(f"{address}decide/", history.decide, {"find": find}, name=f"decide-{name}"),
    ]
