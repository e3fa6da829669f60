"""The addresses of all rooms, each under its own name."""

from django.urls import include, path

from checkoffs.attempts.urls import urlpatterns as attempts
from checkoffs.cases.urls import urlpatterns as cases
from checkoffs.days.urls import urlpatterns as days
from checkoffs.people.urls import urlpatterns as people
from checkoffs.procedures.urls import urlpatterns as procedures
from checkoffs.records.urls import urlpatterns as records
from checkoffs.reports.urls import urlpatterns as reports
from checkoffs.review.urls import urlpatterns as review
from checkoffs.site.urls import urlpatterns as site

urlpatterns = [
    path("", include((site, "site"))),
    path("account/", include("allauth.account.urls")),
    path("account/", include("allauth.mfa.urls")),
    path("account/", include("allauth.socialaccount.urls")),
    path("account/", include("allauth.socialaccount.providers.openid_connect.urls")),
    path("people/", include((people, "people"))),
    path("procedures/", include((procedures, "procedures"))),
    path("cases/", include((cases, "cases"))),
    path("attempts/", include((attempts, "attempts"))),
    path("records/", include((records, "records"))),
    path("review/", include((review, "review"))),
    path("days/", include((days, "days"))),
    path("reports/", include((reports, "reports"))),
]
handler400 = "checkoffs.site.views.bad_request"
handler403 = "checkoffs.site.views.forbidden"
handler404 = "checkoffs.site.views.not_found"
handler500 = "checkoffs.site.views.server_error"
