"""Addresses of the records room."""

from django.urls import URLPattern, path

from checkoffs.records import views, views_signing

urlpatterns: list[URLPattern] = [
    path("", views.records, name="list"),
    path("verify/", views.verify, name="verify"),
    path("sign/<uuid:sheet_id>/", views_signing.sign, name="sign"),
    path("moderate/<uuid:attempt_id>/", views_signing.moderate, name="moderate"),
    path("<slug:code>/", views.record, name="record"),
    path("<slug:code>/pdf/", views.pdf, name="pdf"),
    path("<slug:code>/amend/", views.amend, name="amend"),
    path("<slug:code>/void/", views.void, name="void"),
]
