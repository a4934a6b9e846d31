"""The rooms and their doors. Public rooms stand at the root, staff rooms under /staff/."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("fruitbody.desk.submissions.urls")),
    path("kinds/", include("fruitbody.desk.records.kinds_urls")),
    path("staff/", include("fruitbody.desk.people.urls")),
    path("staff/", include("fruitbody.desk.records.urls")),
    path("staff/", include("fruitbody.desk.bench.urls")),
    path("staff/", include("fruitbody.desk.reports.urls")),
]

handler403 = "fruitbody.desk.people.pages.refused"
handler404 = "fruitbody.desk.people.pages.not_found"
handler500 = "fruitbody.desk.people.pages.broken"
