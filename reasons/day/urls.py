"""The day of the reasons: its timetable, its rooms and what they tell."""

from django.urls import path

from reasons.day import other_views, planning_views, room_views

urlpatterns = [
    path("", planning_views.timetable, name="reasons"),
    path("hours/", planning_views.hours, name="reasons-hours"),
    path("rooms/new/", planning_views.room, name="reasons-new-room"),
    path("rooms/<int:room>/change/", planning_views.room, name="reasons-change-room"),
    path("rooms/<int:room>/remove/", planning_views.no_room, name="reasons-remove-room"),
    path("plan/", planning_views.draft, name="reasons-plan"),
    path("plan/better/", planning_views.better, name="reasons-better"),
    path("plan/publish/", planning_views.publish, name="reasons-publish"),
    path("rooms/", room_views.rooms, name="reasons-rooms"),
    path("rooms/hello/", room_views.hello, name="reasons-hello"),
    path("rooms/<int:room>/<int:official>/", room_views.room, name="reasons-room"),
    path("rooms/<int:room>/<int:official>/sets/", room_views.sets, name="reasons-room-sets"),
    path("rooms/<int:room>/<int:official>/events/", room_views.events, name="reasons-room-events"),
    path("hall/", other_views.hall, name="reasons-hall"),
    path("notes/", other_views.notes, name="reasons-notes"),
    path("notes/<int:number>/", other_views.class_notes, name="reasons-class-notes"),
    path("fairness/", other_views.fairness, name="reasons-fairness"),
    path("sheets/", other_views.trainer, name="reasons-sheets"),
]
