"""What the superintendent watches: progress, doubts and keys."""

from django.urls import path

from contest.slips.kinds import KINDS
from contest.watch.views import (
    committee_seats,
    committees,
    doubts,
    history,
    keys,
    mixups,
    part_keys,
    progress,
    runs,
)

urlpatterns = [
    path("progress/", progress.progress, name="progress"),
    path("progress/<int:number>/", progress.progress_of_class, name="progress-class"),
    path("doubts/", doubts.doubts, name="doubts"),
    path("doubts/news/", doubts.news, name="doubts-news"),
    path("doubts/interchanged/", doubts.mend, name="doubts-interchanged"),
    path("doubts/mixed-up/", mixups.mixup, name="doubts-mixup"),
    path("doubts/undo/", doubts.undo, name="doubts-undo"),
    path("people/<int:number>/", doubts.absent, name="absent"),
    path("readings/<slug:slips>/<int:reading>/", history.put_right, name="put-right"),
    path("runs/<int:reading>/", runs.run, name="run"),
    path("readings/back/", history.back, name="bring-back"),
    path("keys/", keys.keys, name="keys"),
    path("keys/hello/", keys.hello, name="keys-hello"),
    path("keys/parts/<str:code>/", part_keys.key, name="part-key"),
    path("keys/committee/", committees.committee, name="committee"),
    path("keys/committee/add/", committees.add, name="committee-add"),
    path("keys/committee/<int:judge>/", committees.seats, name="committee-seats"),
    path("keys/committee/<int:judge>/remove/", committees.remove, name="committee-remove"),
    path("keys/committee/<int:judge>/code/", committees.code, name="committee-code"),
    path("keys/<int:number>/committee/", committees.side_by_side, name="committee-class"),
    path("keys/<int:number>/committee/agree/", committees.agree, name="committee-agree"),
    path("keys/<int:number>/committee/<int:judge>/", committees.paper, name="committee-paper"),
    path("committee/", committee_seats.mine, name="committee-mine"),
    path("committee/hello/", committee_seats.hello, name="committee-hello"),
    path("committee/<int:number>/", committee_seats.one, name="committee-hand-in"),
    path("keys/<int:number>/", keys.key, name="key"),
    path("keys/<int:number>/preview/", keys.preview, name="key-preview"),
    path("keys/<int:number>/settle/", keys.settle, name="settle-key"),
    path("keys/<int:number>/accept/", keys.accept, name="accept-key"),
]
for kind in KINDS:
    for name, address in kind.paths.items():
        urlpatterns += [
            path(address, history.history, {"kind": kind.name}, name=name),
            path(f"{address}decide/", history.decide, {"kind": kind.name}, name=f"decide-{name}"),
            path(f"{address}misread/", history.misread, {"kind": kind.name}, name=f"misread-{name}"),
        ]
