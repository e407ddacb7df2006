"""Results: the superintendent's pages, and what is open to all."""

from django.urls import path

from scoring.results import public_views, views

urlpatterns = [
    path("contests/<int:pk>/results/", views.results, name="results"),
    path("contests/<int:pk>/results/release/", views.release, name="results-release"),
    path("contests/<int:pk>/results/withdraw/", views.withdraw, name="results-withdraw"),
    path("contests/<int:pk>/results/correct/", views.correct, name="results-correct"),
    path("contests/<int:pk>/results/keys/<int:number>/", views.show_key, name="results-show-key"),
    path("contests/<int:pk>/results/keys/<int:number>/hide/", views.hide_key, name="results-hide-key"),
    path("contests/<int:pk>/results/protests/", views.note_protest, name="results-note-protest"),
    path("contests/<int:pk>/results/protests/until/", views.take_protests, name="results-take-protests"),
    path("contests/<int:pk>/results/protests/close/", views.close_protests, name="results-close-protests"),
    path("contests/<int:pk>/results/protests/<int:protest>/", views.decide_protest, name="results-decide-protest"),
    path("contests/<int:pk>/results/links/", views.take_home_links, name="results-links"),
    path("contests/<int:pk>/results/links/<int:link>/", views.change_link, name="results-change-link"),
    path("contests/<int:pk>/results/results.<slug:ending>", views.download, name="results-file"),
    path("results/<int:pk>/", public_views.public_list, name="public-results"),
    path("results/<int:pk>/results.<slug:ending>", public_views.public_file, name="public-file"),
    path("results/<int:pk>/<str:division>/<str:code>/", public_views.public_list, name="public-list"),
    path("public/<int:pk>/classes/<int:number>/", public_views.public_class, name="public-class"),
    path("home/<str:token>/", public_views.take_home, name="take-home"),
]
