"""Scores: reasons scores and marks, entered from the officials' slips."""

from django.urls import path

from reasons.scores import views

urlpatterns = [
    path("", views.scores, name="scores"),
    path("hello/", views.hello, name="scores-hello"),
    path("officials/", views.new_official, name="scores-new-official"),
    path("officials/<int:official>/remove/", views.no_official, name="scores-remove-official"),
    path("readings/<uuid:reading>/take-back/", views.take_back, name="scores-take-back"),
    path("reasons/<int:number>/", views.class_check, name="scores-class"),
    path("reasons/<int:number>/<int:official>/", views.reasons_sheet, name="scores-reasons-sheet"),
    path("reasons/<int:number>/<int:official>/readings/", views.reasons_readings, name="scores-reasons-sheet-readings"),
    path("reasons/<int:number>/<int:official>/expected/", views.reasons_expected, name="scores-reasons-sheet-expected"),
    path("marks/<str:code>/check/", views.part_check, name="scores-part"),
    path("marks/<str:code>/", views.marks_sheet, name="scores-marks-sheet"),
    path("marks/<str:code>/readings/", views.marks_readings, name="scores-marks-sheet-readings"),
    path("marks/<str:code>/expected/", views.marks_expected, name="scores-marks-sheet-expected"),
]
