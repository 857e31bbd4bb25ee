from django.urls import path

from firewood_site.seller.views import day_edits, days, loads, rigs, shuts, weeks

urlpatterns = [
    path("days", days.days, name="days"),
    path("days/together", weeks.week, name="days-together"),
    path("days/<str:on>", days.day, name="day"),
    path("days/<str:on>/plan", days.plan, name="day-plan"),
    path("days/<str:on>/commit", days.commit, name="day-commit"),
    path("days/<str:on>/take-back", days.take_back, name="day-take-back"),
    path("days/<str:on>/clear", days.clear, name="day-clear"),
    path("days/<str:on>/looked", days.looked, name="day-looked"),
    path("days/<str:on>/edit", day_edits.edit, name="day-edit"),
    path("days/<str:on>/load-sheet", loads.load_sheet, name="load-sheet"),
    path("planning/<uuid:key>", days.job, name="day-job"),
    path("planning/<uuid:key>/stop", days.stop_job, name="day-job-stop"),
    path("rigs", rigs.rigs, name="rigs"),
    path("rigs/new", rigs.new_rig, name="rig-new"),
    path("rigs/<int:rig_id>", rigs.rig, name="rig"),
    path("rigs/<int:rig_id>/cost", rigs.cost, name="rig-cost"),
    path("rigs/<int:rig_id>/out", rigs.out, name="rig-out"),
    path("rigs/<int:rig_id>/heap", rigs.heap, name="rig-heap"),
    path("shuts", shuts.shuts, name="shuts"),
    path("shuts/<int:shut_id>/open", shuts.open_again, name="shut-open"),
]
