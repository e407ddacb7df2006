from django.urls import path

from contest.history import views

urlpatterns = [
    path("contests/<int:pk>/take-back/", views.changes, name="take-back"),
    path("contests/<int:pk>/take-back/<int:revision>/", views.take_back, name="take-back-change"),
]
