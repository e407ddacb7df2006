from django.urls import path

from contest.helpers import account_views, views

urlpatterns = [
    path("join/", views.join, name="join"),
    path("leave/", views.leave_contest, name="leave"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("superintendents/", account_views.superintendents, name="superintendents"),
    path("superintendents/password/", account_views.own_password, name="own-password"),
    path("superintendents/<int:account>/password/", account_views.account_password, name="account-password"),
    path("superintendents/<int:account>/off/", account_views.account_off, name="account-off"),
    path("contests/<int:pk>/helpers/", views.helpers, name="helpers"),
    path("contests/<int:pk>/helpers/seats/", views.seats, name="seats"),
    path("contests/<int:pk>/helpers/<int:helper>/out/", views.out, name="helper-out"),
    path("contests/<int:pk>/helpers/<str:duty>/out/", views.duty_out, name="duty-out"),
    path("contests/<int:pk>/helpers/<str:duty>/new-code/", views.renew, name="new-code"),
    path("contests/<int:pk>/lobby/", views.lobby, name="lobby"),
]
