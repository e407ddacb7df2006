from django.urls import path

from contest import access

urlpatterns = [
    path("join/", access.join, name="join"),
    path("healthz", access.healthz, name="healthz"),
]
