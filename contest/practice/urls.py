from django.urls import path

from contest.practice.views import coach, member, pictures, reasons, sharing

urlpatterns = [
    path("practices/", coach.practices, name="practices"),
    path("practices/terms/", reasons.terms, name="practice-terms"),
    path("practices/open/", sharing.open_file, name="practice-open"),
    path("practices/<int:practice>/", coach.practice, name="practice"),
    path("practices/<int:practice>/live/", coach.live, name="practice-live"),
    path("practices/<int:practice>/step/", coach.step, name="practice-step"),
    path("practices/<int:practice>/classes/<int:number>/key/", coach.key, name="practice-key"),
    path("practices/<int:practice>/classes/<int:number>/pictures/", pictures.pictures, name="practice-pictures"),
    path(
        "practices/<int:practice>/classes/<int:number>/pictures/<int:picture>/remove/",
        pictures.remove_one,
        name="practice-picture-remove",
    ),
    path(
        "practices/<int:practice>/classes/<int:number>/pictures/<int:picture>/",
        pictures.change_one,
        name="practice-picture-change",
    ),
    path(
        "practices/<int:practice>/classes/<int:number>/pictures/<int:picture>/move/",
        pictures.move_one,
        name="practice-picture-move",
    ),
    path("practices/<int:practice>/classes/<int:number>/notes/", reasons.pair_notes, name="practice-notes"),
    path("practices/<int:practice>/classes/<int:number>/reasons/", reasons.reasons, name="practice-reasons"),
    path(
        "practices/<int:practice>/classes/<int:number>/reasons/live/",
        reasons.reasons_live,
        name="practice-reasons-live",
    ),
    path("practices/<int:practice>/classes/<int:number>/speaks/", reasons.speaks, name="practice-speaks"),
    path(
        "practices/<int:practice>/classes/<int:number>/members/<int:member>/score/",
        reasons.score,
        name="practice-score",
    ),
    path(
        "practices/<int:practice>/classes/<int:number>/scores/<int:score>/out/",
        reasons.score_out,
        name="practice-score-out",
    ),
    path("practices/<int:practice>/another/", coach.another, name="practice-another"),
    path("practices/<int:practice>/classes/<int:number>/on/", coach.go_on, name="practice-on"),
    path("practices/<int:practice>/file/", sharing.save, name="practice-file"),
    path("practices/<int:practice>/keep/", coach.keep, name="practice-keep"),
    path("practices/<int:practice>/members/<int:member>/out/", coach.remove, name="practice-member-out"),
    path("practices/<int:practice>/delete/", coach.delete, name="practice-delete"),
    path("practices/<int:practice>/screen/", coach.screen, name="practice-screen"),
    path("practices/<int:practice>/screen/live/", coach.screen_live, name="practice-screen-live"),
    path("practice/", member.join, name="practice-join"),
    path("practice/mine/", member.mine, name="practice-mine"),
    path("practice/mine/live/", member.mine_live, name="practice-mine-live"),
    path("practice/mine/hello/", member.hello, name="practice-hello"),
    path("practice/mine/handed-in/", member.handed_in, name="practice-hand-in"),
    path("practice/mine/outline/", member.outline, name="practice-outline"),
    path("practice/sets/<int:set>/", member.heard_set, name="practice-heard"),
    path("practice/pictures/<int:picture>/", member.picture, name="practice-picture"),
    path("practice/leave/", member.leave, name="practice-leave"),
]
