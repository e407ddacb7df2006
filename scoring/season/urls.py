from django.urls import path

from scoring.season.views import seasons, sources

urlpatterns = [
    path("", seasons.seasons, name="seasons"),
    path("<int:season>/", seasons.season, name="season"),
    path("<int:season>/settings/", seasons.settings, name="season-settings"),
    path("<int:season>/delete/", seasons.delete, name="season-delete"),
    path("<int:season>/members/", seasons.add_member, name="season-member-add"),
    path("<int:season>/members/<int:season_member>/", seasons.member, name="season-member"),
    path("<int:season>/members/<int:season_member>/change/", seasons.change_member, name="season-member-change"),
    path("<int:season>/members/<int:season_member>/delete/", seasons.delete_member, name="season-member-delete"),
    path("<int:season>/members/<int:season_member>/paper/<str:paper>/", seasons.paper, name="season-paper"),
    path("<int:season>/books/", sources.new_book, name="season-book-new"),
    path("<int:season>/books/<uuid:key>/", sources.book, name="season-book"),
    path("<int:season>/practices/<int:practice>/", sources.practice, name="season-practice"),
    path("<int:season>/sources/<int:source>/out/", sources.take_out, name="season-source-out"),
]
