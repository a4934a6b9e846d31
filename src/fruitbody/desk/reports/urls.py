from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from fruitbody.desk.reports import views, views_draft

app_name = "reports"
urlpatterns: list[URLPattern | URLResolver] = [
    path("reports/", views.report_list, name="list"),
    path("reports/<int:pk>/draft/", views_draft.draft, name="draft"),
    path("reports/<int:pk>/amend/", views.amend_report, name="amend"),
    path("reports/<int:pk>/spoken/", views.spoken, name="spoken"),
    path("reports/version/<int:pk>/", views.version, name="version"),
    path("reports/version/<int:pk>/report.pdf", views.pdf, name="pdf"),
]
