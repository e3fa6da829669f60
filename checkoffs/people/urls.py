"""Addresses of the people room."""

from django.urls import URLPattern, path

from checkoffs.people.views import cohorts, entering, people

urlpatterns: list[URLPattern] = [
    path("", people.people_list, name="list"),
    path("people.csv", people.people_csv, name="csv"),
    path("add/", people.add_person, name="add"),
    path("import/", entering.import_roster, name="import"),
    path("links/", entering.links_sheet, name="links"),
    path("first/password/", entering.first_password, name="first_password"),
    path("first/<str:token>/", entering.first_sign_in, name="first_sign_in"),
    path("cohorts/", cohorts.cohort_list, name="cohorts"),
    path("cohorts/add/", cohorts.add_cohort, name="add_cohort"),
    path("cohorts/<int:cohort>/", cohorts.edit_cohort, name="edit_cohort"),
    path("audit/", cohorts.audit_trail, name="audit"),
    path("roles/<int:membership>/end/", people.end_membership, name="end_membership"),
    path("roles/<int:membership>/extra-time/", people.extra_time, name="extra_time"),
    path("<uuid:person>/", people.person_page, name="person"),
    path("<uuid:person>/edit/", people.edit_person, name="edit"),
    path("<uuid:person>/roles/add/", people.add_membership, name="add_membership"),
    path("<uuid:person>/account/", people.set_active, name="set_active"),
    path("<uuid:person>/link/", people.new_link, name="new_link"),
]
