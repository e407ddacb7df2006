from django.urls import path

from contest.bin import views

urlpatterns = [
    path("bin/", views.contents, name="bin"),
    path("bin/<int:pk>/restore/", views.restore, name="bin-restore"),
    path("bin/<int:pk>/empty/", views.empty, name="bin-empty"),
]
