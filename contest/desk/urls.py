"""The desk: reading cards in, stack by stack or loose."""

from django.urls import path

from contest.desk import views

urlpatterns = [
    path("", views.room, name="desk"),
    path("take/", views.take, name="desk-take"),
    path("give-back/", views.put_back, name="desk-give-back"),
    path("hello/", views.hello, name="desk-hello"),
    path("classes/<int:number>/stack/", views.stack, name="desk-stack"),
    path("classes/<int:number>/expected/", views.expected, name="desk-stack-expected"),
    path("classes/<int:number>/loose/", views.loose, name="desk-loose"),
    path("practice/", views.practice, name="desk-practice"),
    path("readings/", views.readings, name="desk-readings"),
    path("readings/<uuid:reading>/take-back/", views.take_back, name="desk-take-back"),
]
