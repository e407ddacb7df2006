from django.urls import path

from contest.helpers import views

urlpatterns = [
    path("join/", views.join, name="join"),
    path("leave/", views.leave_contest, name="leave"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("contests/<int:pk>/lobby/", views.lobby, name="lobby"),
]
