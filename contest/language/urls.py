from django.urls import path

from contest.language import views

urlpatterns = [
    path("", views.languages, name="language"),
    path("choose/", views.choose, name="choose-language"),
    path("texts/<str:language>/<str:digest>.js", views.texts, name="texts"),
]
