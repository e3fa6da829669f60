"""Addresses of the records room."""

from django.urls import URLPattern, path

from checkoffs.records.views import checking, reading, signing

urlpatterns: list[URLPattern] = [
    path("", reading.records, name="list"),
    path("verify/", checking.verify, name="verify"),
    path("head/", checking.head, name="head"),
    path("sign/<uuid:sheet_id>/", signing.sign, name="sign"),
    path("moderate/<uuid:attempt_id>/", signing.moderate, name="moderate"),
    path("<slug:code>/", reading.record, name="record"),
    path("<slug:code>/pdf/", reading.pdf, name="pdf"),
    path("<slug:code>/amend/", reading.amend, name="amend"),
    path("<slug:code>/void/", reading.void, name="void"),
]
