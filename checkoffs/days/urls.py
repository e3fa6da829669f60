"""Addresses of the days room."""

from django.urls import URLPattern, path

from checkoffs.days import views, views_planning

urlpatterns: list[URLPattern] = [
    path("", views.day_list, name="list"),
    path("today/", views.today, name="today"),
    path("plan/", views_planning.plan_day, name="plan"),
    path("<int:day>/", views.day_page, name="day"),
    path("<int:day>/board/", views.board, name="board"),
    path("<int:day>/slots.csv", views.day_csv, name="csv"),
    path("<int:day>/edit/", views_planning.edit_day, name="edit"),
    path("<int:day>/stations/add/", views_planning.add_station, name="add_station"),
    path("stations/<int:station>/", views_planning.edit_station, name="edit_station"),
    path("stations/<int:station>/remove/", views_planning.remove_station, name="remove_station"),
    path("stations/<int:station>/slots/", views_planning.fill_station, name="fill_station"),
    path("stations/<int:station>/move/", views_planning.move_slots, name="move_slots"),
    path("slots/<int:slot>/arrived/", views.check_in, name="check_in"),
    path("slots/<int:slot>/open/", views.open_slot, name="open_slot"),
    path("slots/<int:slot>/no-show/", views.no_show, name="no_show"),
    path("slots/<int:slot>/remove/", views_planning.remove_slot, name="remove_slot"),
]
