from django.urls import path

from contest.copies import views

urlpatterns = [
    path("", views.copies, name="copies"),
    path("now/", views.copy_now, name="copy_now"),
    path("<slug:name>/", views.download, name="download_copy"),
]
