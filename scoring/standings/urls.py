from django.urls import path

from scoring.standings import views

urlpatterns = [
    path("", views.standings, name="standings"),
    path("contestants/<int:number>/", views.contestant, name="standings-contestant"),
    path("<str:division>/teams/<int:team>/", views.team, name="standings-team"),
    path("<str:division>/<str:code>/", views.standings, name="standings-list"),
]
