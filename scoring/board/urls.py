"""The board and the announcer's pages."""

from django.urls import path

from scoring.board.views import announcer, board, choosing, names

urlpatterns = [
    path("board/", board.newest, name="board-newest"),
    path("board/<int:pk>/code.png", board.code, name="board-code"),
    path("board/<int:pk>/", board.board, name="board"),
    path("contests/<int:pk>/board/", choosing.board_choice, name="board-choice"),
    path("contests/<int:pk>/board/choose/", choosing.choose_board, name="choose-board"),
    path("contests/<int:pk>/announcer/dark/", announcer.darken_board, name="darken-board"),
    path("contests/<int:pk>/announcer/", announcer.announcer, name="announcer"),
    path("contests/<int:pk>/announcer/move/<str:move>/", announcer.move, name="announcer-move"),
    path("contests/<int:pk>/announcer/queue/", announcer.queue, name="announcer-queue"),
    path("contests/<int:pk>/announcer/queue/<int:award_list>/", announcer.change, name="announcer-change"),
    path("contests/<int:pk>/announcer/names/", names.names, name="announcer-names"),
    path("contests/<int:pk>/announcer/names/<str:kind>/<int:who>/", names.name, name="announcer-name"),
]
