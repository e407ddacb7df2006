from django.urls import path

from contest.setup import making, views
from contest.uploads import book_problems

urlpatterns = [
    path("contests/new/", making.new_contest, name="new_contest"),
    path("contests/new/problems.txt", book_problems.problems_text, name="book_problems"),
    path("contests/<int:pk>/book.zip", making.book, name="book"),
    path("contests/<int:pk>/delete/", making.delete, name="delete_contest"),
    path("contests/<int:pk>/setup/", views.setup, name="setup"),
    path("contests/<int:pk>/setup/facts/", views.facts, name="setup_facts"),
    path("contests/<int:pk>/setup/rules/", views.rules, name="setup_rules"),
    path("contests/<int:pk>/setup/team-rules/", views.team_rules_example, name="setup_team_rules"),
    path("contests/<int:pk>/setup/ties/<slug:scope>/", views.tie_order, name="setup_ties"),
    path("contests/<int:pk>/setup/classes/<int:row>/void/", views.void, name="setup_void"),
    path("contests/<int:pk>/setup/<slug:kind>/new/", views.add, name="setup_add"),
    path("contests/<int:pk>/setup/<slug:kind>/order/", views.arrange, name="setup_arrange"),
    path("contests/<int:pk>/setup/<slug:kind>/<int:row>/", views.change, name="setup_change"),
    path("contests/<int:pk>/setup/<slug:kind>/<int:row>/remove/", views.remove, name="setup_remove"),
]
