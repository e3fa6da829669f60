"""Addresses of the people room."""

from django.urls import URLPattern, path

from checkoffs.people import views, views_cohorts, views_entering

urlpatterns: list[URLPattern] = [
    path("", views.people_list, name="list"),
    path("people.csv", views.people_csv, name="csv"),
    path("add/", views.add_person, name="add"),
    path("import/", views_entering.import_roster, name="import"),
    path("links/", views_entering.links_sheet, name="links"),
    path("first/password/", views_entering.first_password, name="first_password"),
    path("first/<str:token>/", views_entering.first_sign_in, name="first_sign_in"),
    path("cohorts/", views_cohorts.cohort_list, name="cohorts"),
    path("cohorts/add/", views_cohorts.add_cohort, name="add_cohort"),
    path("cohorts/<int:cohort>/", views_cohorts.edit_cohort, name="edit_cohort"),
    path("audit/", views_cohorts.audit_trail, name="audit"),
    path("roles/<int:membership>/end/", views.end_membership, name="end_membership"),
    path("roles/<int:membership>/extra-time/", views.extra_time, name="extra_time"),
    path("<uuid:person>/", views.person_page, name="person"),
    path("<uuid:person>/edit/", views.edit_person, name="edit"),
    path("<uuid:person>/roles/add/", views.add_membership, name="add_membership"),
    path("<uuid:person>/account/", views.set_active, name="set_active"),
    path("<uuid:person>/link/", views.new_link, name="new_link"),
]
