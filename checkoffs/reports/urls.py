"""Addresses of the reports room."""

from django.urls import URLPattern, path

from checkoffs.reports import views

urlpatterns: list[URLPattern] = [
    path("", views.cohort_list, name="cohort_list"),
    path("cohort/<int:cohort>/", views.cohort, name="cohort"),
    path("cohort/<int:cohort>/procedure/<uuid:procedure>/", views.procedure, name="procedure"),
    path("cohort/<int:cohort>/exports/", views.exports, name="exports"),
    path("exports/<uuid:export>/state/", views.export_state, name="export_state"),
    path("exports/<uuid:export>/file/", views.export_file, name="export_file"),
]
