from django.urls import path

from contest.privacy import views

urlpatterns = [path("contests/<int:pk>/anonymise/", views.make_anonymous, name="anonymise")]
