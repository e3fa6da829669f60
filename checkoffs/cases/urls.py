"""Addresses of the cases room."""

from django.urls import path

from checkoffs.cases import views

urlpatterns = [
    path("for/<uuid:procedure>/new/", views.new_case, name="new"),
    path("for/<uuid:procedure>/try/", views.try_draw, name="try"),
    path("<uuid:template>/", views.edit_case, name="edit"),
    path("<uuid:template>/retire/", views.retire_case, name="retire"),
]
