"""Results: the superintendent's pages, and what is open to all."""

from django.urls import path

from scoring.results.views import margins, public, results, study, today

urlpatterns = [
    path("contests/<int:pk>/results/", results.results, name="results"),
    path("contests/<int:pk>/results/before/", results.before_release, name="results-before-release"),
    path("contests/<int:pk>/results/release/", results.release, name="results-release"),
    path("contests/<int:pk>/results/withdraw/", results.withdraw, name="results-withdraw"),
    path("contests/<int:pk>/results/correct/", results.correct, name="results-correct"),
    path("contests/<int:pk>/results/keys/<int:number>/", results.show_key, name="results-show-key"),
    path("contests/<int:pk>/results/keys/<int:number>/hide/", results.hide_key, name="results-hide-key"),
    path("contests/<int:pk>/results/protests/", results.note_protest, name="results-note-protest"),
    path("contests/<int:pk>/results/protests/until/", results.take_protests, name="results-take-protests"),
    path("contests/<int:pk>/results/protests/close/", results.close_protests, name="results-close-protests"),
    path("contests/<int:pk>/results/protests/<int:protest>/", results.decide_protest, name="results-decide-protest"),
    path("contests/<int:pk>/results/margins/", margins.margins, name="results-margins"),
    path("contests/<int:pk>/results/study/", study.study, name="results-study"),
    path("contests/<int:pk>/results/links/", results.take_home_links, name="results-links"),
    path("contests/<int:pk>/results/links/<int:link>/", results.change_link, name="results-change-link"),
    path("contests/<int:pk>/results/results.<slug:ending>", results.download, name="results-file"),
    path("today/", today.today, name="today"),
    path("results/<int:pk>/find/", today.find, name="public-find"),
    path("results/<int:pk>/", public.public_list, name="public-results"),
    path("results/<int:pk>/results.<slug:ending>", public.public_file, name="public-file"),
    path("results/<int:pk>/<str:division>/<str:code>/", public.public_list, name="public-list"),
    path("public/<int:pk>/classes/<int:number>/", public.public_class, name="public-class"),
    path("home/<str:token>/", public.take_home, name="take-home"),
    path("home/<str:token>/cards/<int:class_number>/<int:number>/", public.take_home_card, name="take-home-card"),
]
