from django.urls import path

from scoring.next_level import views

urlpatterns = [
    path("", views.next_level, name="next-level"),
    path("lists/", views.set_wanted, name="next-level-set"),
    path("lists/<int:row>/remove/", views.remove, name="next-level-remove"),
    path("decline/", views.decline_place, name="next-level-decline"),
    path("decline/<int:row>/back/", views.comes, name="next-level-comes"),
    path("entries.csv", views.entries_file, name="next-level-file"),
]
