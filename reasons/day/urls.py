"""The day of the reasons: its timetable, its rooms and what they tell."""

from django.urls import path

from reasons.day.views import hall, notes, planning, rooms

urlpatterns = [
    path("", planning.planning, name="reasons"),
    path("hours/", planning.hours, name="reasons-hours"),
    path("rooms/new/", planning.room, name="reasons-new-room"),
    path("rooms/<int:room>/change/", planning.room, name="reasons-change-room"),
    path("rooms/<int:room>/remove/", planning.no_room, name="reasons-remove-room"),
    path("rooms/classes/", planning.deal, name="reasons-deal"),
    path("plan/", planning.plan, name="reasons-plan"),
    path("plan/<uuid:key>/", planning.draft, name="reasons-draft"),
    path("plan/<uuid:key>/better/", planning.better, name="reasons-better"),
    path("plan/<uuid:key>/publish/", planning.publish, name="reasons-publish"),
    path("timetable/", hall.timetable, name="reasons-timetable"),
    path("rooms/", rooms.rooms, name="reasons-rooms"),
    path("rooms/hello/", rooms.hello, name="reasons-hello"),
    path("rooms/codes/<int:official>/new/", rooms.new_code, name="reasons-new-code"),
    path("rooms/<int:room>/<int:official>/", rooms.room, name="reasons-room"),
    path("rooms/<int:room>/<int:official>/sets/", rooms.sets, name="reasons-room-sets"),
    path("rooms/<int:room>/<int:official>/events/", rooms.events, name="reasons-room-events"),
    path("hall/", hall.hall, name="reasons-hall"),
    path("notes/", notes.notes, name="reasons-notes"),
    path("notes/hello/", notes.hello, name="reasons-notes-hello"),
    path("notes/<int:number>/", notes.class_notes, name="reasons-class-notes"),
    path("fairness/", notes.fairness, name="reasons-fairness"),
    path("sheets/", notes.trainer, name="reasons-sheets"),
]
