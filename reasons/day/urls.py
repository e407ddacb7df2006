"""The day of the reasons: its timetable, its rooms and what they tell."""

from django.urls import path

from reasons.day import hall_views, other_views, planning_views, room_views

urlpatterns = [
    path("", planning_views.planning, name="reasons"),
    path("hours/", planning_views.hours, name="reasons-hours"),
    path("rooms/new/", planning_views.room, name="reasons-new-room"),
    path("rooms/<int:room>/change/", planning_views.room, name="reasons-change-room"),
    path("rooms/<int:room>/remove/", planning_views.no_room, name="reasons-remove-room"),
    path("rooms/classes/", planning_views.deal, name="reasons-deal"),
    path("plan/", planning_views.plan, name="reasons-plan"),
    path("plan/<uuid:key>/", planning_views.draft, name="reasons-draft"),
    path("plan/<uuid:key>/better/", planning_views.better, name="reasons-better"),
    path("plan/<uuid:key>/publish/", planning_views.publish, name="reasons-publish"),
    path("timetable/", hall_views.timetable, name="reasons-timetable"),
    path("rooms/", room_views.rooms, name="reasons-rooms"),
    path("rooms/hello/", room_views.hello, name="reasons-hello"),
    path("rooms/<int:room>/<int:official>/", room_views.room, name="reasons-room"),
    path("rooms/<int:room>/<int:official>/sets/", room_views.sets, name="reasons-room-sets"),
    path("rooms/<int:room>/<int:official>/events/", room_views.events, name="reasons-room-events"),
    path("hall/", hall_views.hall, name="reasons-hall"),
    path("notes/", other_views.notes, name="reasons-notes"),
    path("notes/<int:number>/", other_views.class_notes, name="reasons-class-notes"),
    path("fairness/", other_views.fairness, name="reasons-fairness"),
    path("sheets/", other_views.trainer, name="reasons-sheets"),
]
