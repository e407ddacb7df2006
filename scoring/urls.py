from django.urls import path

from scoring import views

urlpatterns = [
    path("", views.standings, name="standings"),
    path("<str:division>/<str:code>/", views.standings, name="standings-list"),
]
