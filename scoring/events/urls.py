from django.urls import path

from scoring.events import views

urlpatterns = [
    path("", views.events, name="events"),
    path("new/", views.new_event, name="event-new"),
    path("<int:event>/", views.event_page, name="event"),
    path("<int:event>/change/", views.change_event, name="event-change"),
    path("<int:event>/do/", views.act, name="event-act"),
    path("<int:event>/check-in/", views.day_check_in, name="event-check-in"),
    path("<int:event>/same/", views.same_club, name="event-same"),
    path("<int:event>/sweepstakes/", views.public_event, name="event-public"),
]
