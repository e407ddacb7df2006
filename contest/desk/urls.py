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
    path("classes/<int:number>/looks/", views.looks, name="desk-stack-looks"),
    path("classes/<int:number>/take-back/", views.take_all_back, name="desk-stack-take-back"),
    path("classes/<int:number>/bring-back/", views.bring_all_back, name="desk-stack-bring-back"),
    path("classes/<int:number>/loose/", views.loose, name="desk-loose"),
    path("practice/", views.practice, name="desk-practice"),
    path("readings/", views.readings, name="desk-readings"),
    path("readings/<uuid:reading>/take-back/", views.take_back, name="desk-take-back"),
]
