from django.urls import path

from firewood_site.seller.views import board, day_edits, days, drivers, loads, rigs, shuts, weeks

urlpatterns = [
    path("days", days.days, name="days"),
    path("days/together", weeks.week, name="days-together"),
    path("days/week", weeks.week_page, name="week-board"),
    path("days/<str:on>", days.day, name="day"),
    path("days/<str:on>/plan", days.plan, name="day-plan"),
    path("days/<str:on>/commit", days.commit, name="day-commit"),
    path("days/<str:on>/take-back", days.take_back, name="day-take-back"),
    path("days/<str:on>/clear", days.clear, name="day-clear"),
    path("days/<str:on>/resolve", days.resolve, name="day-resolve"),
    path("days/<str:on>/drops/<int:stop_id>/moves", board.moves, name="drop-moves"),
    path("days/<str:on>/edit", day_edits.edit, name="day-edit"),
    path("orders/<int:number>/day", board.order_day, name="order-day"),
    path("days/<str:on>/load-sheet", loads.load_sheet, name="load-sheet"),
    path("days/<str:on>/where-cut", loads.where_cut, name="day-where-cut"),
    path("planning/<uuid:key>", days.job, name="day-job"),
    path("planning/<uuid:key>/stop", days.stop_job, name="day-job-stop"),
    path("set-up/rigs", rigs.rigs, name="rigs"),
    path("set-up/rigs/new", rigs.new_rig, name="rig-new"),
    path("set-up/rigs/paces", rigs.paces, name="paces"),
    path("set-up/rigs/<int:rig_id>", rigs.rig, name="rig"),
    path("set-up/rigs/<int:rig_id>/cost", rigs.cost, name="rig-cost"),
    path("set-up/rigs/<int:rig_id>/out", rigs.out, name="rig-out"),
    path("set-up/drivers/new", drivers.new_driver, name="driver-new"),
    path("set-up/drivers/<int:driver_id>", drivers.driver, name="driver-one"),
    path("set-up/closures", shuts.shuts, name="shuts"),
    path("set-up/closures/<int:shut_id>/open", shuts.open_again, name="shut-open"),
    path("set-up/road-marks", shuts.road_marked, name="road-mark"),
    path("set-up/road-marks/<int:mark_id>/forget", shuts.road_unmarked, name="road-unmark"),
]
