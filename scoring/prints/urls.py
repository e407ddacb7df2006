from django.urls import path

from scoring.prints.views import awards, looking, print_shop

urlpatterns = [
    path("", print_shop.prints, name="prints"),
    path("jobs/", print_shop.prints_jobs, name="prints-jobs"),
    path("look/<slug:document>/", print_shop.print_look, name="print-look"),
    path("looks/<str:token>/", looking.looked, name="print-looked"),
    path("looks/<str:token>/pages.pdf", looking.looked_pdf, name="print-looked-pdf"),
    path("looks/<str:token>/<int:number>.png", looking.looked_page, name="print-looked-page"),
    path("looks/<str:token>/make/", looking.looked_make, name="print-looked-make"),
    path("files/<int:job>/", print_shop.print_file, name="print-file"),
    path("files/<int:job>/again/", print_shop.print_again, name="print-again"),
    path("files/<int:job>/cancel/", print_shop.print_cancel, name="print-cancel"),
    path("files/<int:job>/forget/", print_shop.print_forget, name="print-forget"),
    path("awards/", awards.print_awards, name="print-awards"),
    path("picture/", awards.print_picture, name="print-picture"),
    path("picture/change/", awards.print_picture_change, name="print-picture-change"),
]
