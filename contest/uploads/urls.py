from django.urls import path

from contest.uploads import views

urlpatterns = [
    path("<uuid:key>/", views.upload, name="upload"),
    path("<uuid:key>/cancel/", views.upload_cancel, name="upload-cancel"),
]
