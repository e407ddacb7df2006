"""What the superintendent watches: progress, doubts and keys."""

from django.urls import path

from contest.watch import card_views, doubt_views, key_views, progress_views

urlpatterns = [
    path("progress/", progress_views.progress, name="progress"),
    path("progress/<int:number>/", progress_views.progress_of_class, name="progress-class"),
    path("doubts/", doubt_views.doubts, name="doubts"),
    path("doubts/news/", doubt_views.news, name="doubts-news"),
    path("doubts/reasons/<int:score>/", doubt_views.decide_reasons, name="decide-reasons"),
    path("doubts/marks/<int:score>/", doubt_views.decide_mark, name="decide-mark"),
    path("cards/<int:class_number>/<int:number>/", card_views.card, name="card"),
    path("cards/<int:class_number>/<int:number>/decide/", card_views.decide, name="decide-card"),
    path("readings/<int:reading>/", card_views.put_right, name="put-right"),
    path("people/<int:number>/", card_views.absent, name="absent"),
    path("keys/", key_views.keys, name="keys"),
    path("keys/<int:number>/", key_views.key, name="key"),
    path("keys/<int:number>/preview/", key_views.preview, name="key-preview"),
    path("keys/<int:number>/settle/", key_views.settle, name="settle-key"),
    path("keys/<int:number>/accept/", key_views.accept, name="accept-key"),
]
