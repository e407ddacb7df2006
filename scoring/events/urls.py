from django.urls import path

from scoring.events.views import days, helping, matching

urlpatterns = [
    path("", days.events, name="events"),
    path("new/", days.new_event, name="event-new"),
    path("mine/", helping.mine, name="helper-day"),
    path("<int:event>/", days.event_page, name="event"),
    path("<int:event>/change/", days.change_event, name="event-change"),
    path("<int:event>/do/", days.act, name="event-act"),
    path("<int:event>/check-in/", days.day_check_in, name="event-check-in"),
    path("<int:event>/same/", days.same_club, name="event-same"),
    path("<int:event>/people/", matching.people, name="event-people"),
    path("<int:event>/helpers/", helping.helpers, name="event-helpers"),
    path("<int:event>/helpers/<int:helper>/out/", helping.out, name="event-helper-out"),
    path("<int:event>/helpers/<str:duty>/new-code/", helping.renew, name="event-new-code"),
    path("<int:event>/sweepstakes/", days.public_event, name="event-public"),
]
