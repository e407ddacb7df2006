from django.urls import path

from scoring.standings import views

urlpatterns = [
    path("", views.standings, name="standings"),
    path("contestants/<int:number>/", views.contestant, name="standings-contestant"),
    path("<str:division>/teams/<int:team>/", views.team, name="standings-team"),
    path("by-question/<str:code>/", views.questions, name="standings-questions"),
    path("side-by-side/", views.side_by_side, name="standings-beside"),
    path("<str:division>/<str:code>/ties/", views.ties, name="standings-ties"),
    path("<str:division>/<str:code>/", views.standings, name="standings-list"),
]
