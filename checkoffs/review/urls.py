"""Addresses of the review room."""

from django.urls import URLPattern, path

from checkoffs.review import views

urlpatterns: list[URLPattern] = [
    path("", views.mine, name="mine"),
    path("attempt/<uuid:attempt>/", views.attempt, name="attempt"),
    path("record/<slug:code>/acknowledge/", views.acknowledge, name="acknowledge"),
    path("tasks/", views.tasks, name="tasks"),
    path("task/<int:task>/done/", views.done, name="done"),
    path("task/<int:task>/confirm/", views.confirm, name="confirm"),
]
