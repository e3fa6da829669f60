"""Addresses of the days room."""

from django.urls import URLPattern, path

from checkoffs.days.views import planning, running

urlpatterns: list[URLPattern] = [
    path("", running.day_list, name="list"),
    path("today/", running.today, name="today"),
    path("plan/", planning.plan_day, name="plan"),
    path("<int:day>/", running.day_page, name="day"),
    path("<int:day>/board/", running.board, name="board"),
    path("<int:day>/slots.csv", running.day_csv, name="csv"),
    path("<int:day>/edit/", planning.edit_day, name="edit"),
    path("<int:day>/stations/add/", planning.add_station, name="add_station"),
    path("stations/<int:station>/", planning.edit_station, name="edit_station"),
    path("stations/<int:station>/remove/", planning.remove_station, name="remove_station"),
    path("stations/<int:station>/slots/", planning.fill_station, name="fill_station"),
    path("stations/<int:station>/move/", planning.move_slots, name="move_slots"),
    path("slots/<int:slot>/arrived/", running.check_in, name="check_in"),
    path("slots/<int:slot>/open/", running.open_slot, name="open_slot"),
    path("slots/<int:slot>/no-show/", running.no_show, name="no_show"),
    path("slots/<int:slot>/remove/", planning.remove_slot, name="remove_slot"),
]
