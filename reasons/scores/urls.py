"""Scores: reasons scores and marks, entered from the officials' slips."""

from django.urls import path

from reasons.scores import views

urlpatterns = [
    path("", views.scores, name="scores"),
    path("hello/", views.hello, name="scores-hello"),
    path("practice/", views.practice, name="scores-practice"),
    path("officials/", views.new_official, name="scores-new-official"),
    path("officials/<int:official>/remove/", views.no_official, name="scores-remove-official"),
    path("readings/<uuid:reading>/take-back/", views.take_back, name="scores-take-back"),
    path("reasons/<int:number>/", views.class_check, name="scores-class"),
    path("reasons/<int:number>/<int:official>/", views.stack, name="scores-reasons-sheet"),
    path("reasons/<int:number>/<int:official>/readings/", views.readings, name="scores-reasons-sheet-readings"),
    path("reasons/<int:number>/<int:official>/expected/", views.expected, name="scores-reasons-sheet-expected"),
    path("marks/<str:code>/check/", views.part_check, name="scores-part"),
    path("marks/<str:code>/", views.stack, name="scores-marks-sheet"),
    path("marks/<str:code>/readings/", views.readings, name="scores-marks-sheet-readings"),
    path("marks/<str:code>/expected/", views.expected, name="scores-marks-sheet-expected"),
    path("choices/<str:code>/", views.stack, {"keeps": True}, name="scores-choices-sheet"),
    path("choices/<str:code>/readings/", views.readings, {"keeps": True}, name="scores-choices-sheet-readings"),
    path("choices/<str:code>/expected/", views.expected, {"keeps": True}, name="scores-choices-sheet-expected"),
]
