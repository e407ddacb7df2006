from django.urls import path

from scoring.prints import award_views, views

urlpatterns = [
    path("", views.prints, name="prints"),
    path("jobs/", views.prints_jobs, name="prints-jobs"),
    path("look/<slug:document>/", views.print_look, name="print-look"),
    path("files/<int:job>/", views.print_file, name="print-file"),
    path("files/<int:job>/again/", views.print_again, name="print-again"),
    path("files/<int:job>/cancel/", views.print_cancel, name="print-cancel"),
    path("files/<int:job>/forget/", views.print_forget, name="print-forget"),
    path("awards/", award_views.print_awards, name="print-awards"),
    path("picture/", award_views.print_picture, name="print-picture"),
    path("picture/change/", award_views.print_picture_change, name="print-picture-change"),
]
