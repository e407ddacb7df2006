from django.urls import path

from contest.helpers.views import accounts, addresses, helpers, one_time_codes, people

urlpatterns = [
    path("join/", helpers.join, name="join"),
    path("leave/", helpers.leave_contest, name="leave"),
    path("sign-in/", helpers.sign_in, name="sign_in"),
    path("sign-in/code/", helpers.sign_in_code, name="sign_in_code"),
    path("sign-out/", helpers.sign_out, name="sign_out"),
    path("superintendents/", accounts.superintendents, name="superintendents"),
    path("superintendents/password/", accounts.own_password, name="own-password"),
    path("superintendents/codes/", one_time_codes.own_codes, name="own-codes"),
    path("superintendents/codes/begin/", one_time_codes.begin_codes, name="own-codes-begin"),
    path("superintendents/codes/confirm/", one_time_codes.confirm_codes, name="own-codes-confirm"),
    path("superintendents/codes/renew/", one_time_codes.renew_codes, name="own-codes-renew"),
    path("superintendents/codes/off/", one_time_codes.codes_off, name="own-codes-off"),
    path("superintendents/<int:account>/codes-off/", accounts.account_codes_off, name="account-codes-off"),
    path("superintendents/<int:account>/password/", accounts.account_password, name="account-password"),
    path("superintendents/<int:account>/off/", accounts.account_off, name="account-off"),
    path("superintendents/<int:account>/role/", people.role, name="account-role"),
    path("superintendents/invite/", people.invite_one, name="invite"),
    path("invited/<str:secret>/", people.invited, name="invited"),
    path("contests/<int:pk>/helpers/", helpers.helpers, name="helpers"),
    path("contests/<int:pk>/addresses/", addresses.addresses, name="addresses"),
    path("contests/<int:pk>/helpers/seats/", helpers.seats, name="seats"),
    path("contests/<int:pk>/helpers/<int:helper>/out/", helpers.out, name="helper-out"),
    path("contests/<int:pk>/helpers/<str:duty>/out/", helpers.duty_out, name="duty-out"),
    path("contests/<int:pk>/helpers/<str:duty>/new-code/", helpers.renew, name="new-code"),
    path("contests/<int:pk>/lobby/", helpers.lobby, name="lobby"),
]
