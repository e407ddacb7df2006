"""The board and the announcer's pages."""

from django.urls import path

from scoring.board import announcer_views, say_views, views

urlpatterns = [
    path("board/", views.newest, name="board-newest"),
    path("board/<int:pk>/", views.board, name="board"),
    path("contests/<int:pk>/announcer/", announcer_views.announcer, name="announcer"),
    path("contests/<int:pk>/announcer/move/<str:move>/", announcer_views.move, name="announcer-move"),
    path("contests/<int:pk>/announcer/queue/", announcer_views.queue, name="announcer-queue"),
    path("contests/<int:pk>/announcer/queue/<int:award_list>/", announcer_views.change, name="announcer-change"),
    path("contests/<int:pk>/announcer/names/", say_views.names, name="announcer-names"),
    path("contests/<int:pk>/announcer/names/<str:kind>/<int:who>/", say_views.name, name="announcer-name"),
]
