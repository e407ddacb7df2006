from django.urls import path

from contest.trail import views

urlpatterns = [
    path("trail/", views.site_trail, name="site-trail"),
    path("trail/<int:revision>/", views.site_trail_entry, name="site-trail-entry"),
    path("contests/<int:pk>/trail/", views.trail, name="trail"),
    path("contests/<int:pk>/trail/trail.csv", views.trail_file, name="trail-file"),
    path("contests/<int:pk>/trail/<int:revision>/", views.trail_entry, name="trail-entry"),
]
