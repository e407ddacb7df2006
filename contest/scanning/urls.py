"""Cards by scanner: bringing pages, what waits for people, the sample, and how a contest does it."""

from django.urls import path

from contest.scanning import views

urlpatterns = [
    path("", views.scanning, name="scanning"),
    path("bring/", views.bring, name="scanning-bring"),
    path("send/", views.send, name="scanning-send"),
    path("send/<uuid:key>/", views.piece, name="scanning-piece"),
    path("send/<uuid:key>/sent/", views.sent, name="scanning-sent"),
    path("send/<uuid:key>/give-up/", views.give_up, name="scanning-give-up"),
    path("rules/", views.rules, name="scanning-rules"),
    path("sample/", views.sample, name="scanning-sample"),
    path("rehearsal/", views.rehearsal, name="scanning-rehearsal"),
    path("pages/<int:scan>/cancel/", views.cancel, name="scanning-cancel"),
    path("pages/<int:scan>/again/", views.again, name="scanning-again"),
    path("cards/", views.cards, name="scanning-cards"),
    path("cards/<int:card>/", views.cards, name="scanning-card"),
    path("cards/<int:card>/read/", views.read, name="scanning-read"),
    path("cards/<int:card>/aside/", views.aside, name="scanning-aside"),
    path("cards/<int:card>/back/", views.back, name="scanning-back"),
    path("cards/<int:card>/picture/", views.picture, name="scanning-picture"),
]
