from django.urls import path

from scoring.library import views

urlpatterns = [
    path("", views.library, name="library"),
    path("<int:kept>/open/", views.open_kept, name="library-open"),
    path("<int:kept>/out/", views.take_out, name="library-out"),
]
