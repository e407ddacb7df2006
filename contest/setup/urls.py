from django.urls import path

from contest.setup.views import making, outline, presets
from contest.uploads.views import problems_text

urlpatterns = [
    path("contests/new/", making.new_contest, name="new_contest"),
    path("contests/new/presets/<slug:preset>/", presets.from_preset, name="new_from_preset"),
    path("contests/new/problems.txt", problems_text, name="book_problems"),
    path("contests/<int:pk>/book.zip", making.book, name="book"),
    path("contests/<int:pk>/delete/", making.delete, name="delete_contest"),
    path("contests/<int:pk>/setup/", outline.setup, name="setup"),
    path("contests/<int:pk>/setup/facts/", outline.facts, name="setup_facts"),
    path("contests/<int:pk>/setup/rules/", outline.rules, name="setup_rules"),
    path("contests/<int:pk>/setup/team-rules/", outline.team_rules_example, name="setup_team_rules"),
    path("contests/<int:pk>/setup/ties/<slug:scope>/", outline.tie_order, name="setup_ties"),
    path("contests/<int:pk>/setup/classes/<int:row>/void/", outline.void, name="setup_void"),
    path("contests/<int:pk>/setup/classes/list/", outline.add_classes, name="setup_add_classes"),
    path("contests/<int:pk>/setup/<slug:kind>/new/", outline.add, name="setup_add"),
    path("contests/<int:pk>/setup/<slug:kind>/order/", outline.arrange, name="setup_arrange"),
    path("contests/<int:pk>/setup/<slug:kind>/<int:row>/", outline.change, name="setup_change"),
    path("contests/<int:pk>/setup/<slug:kind>/<int:row>/remove/", outline.remove, name="setup_remove"),
]
