"""Doors of the notebook page and of second reading."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from fruitbody.desk.bench import views_counting, views_notebook, views_reading

urlpatterns: list[URLPattern | URLResolver] = [
    path("bench/", views_notebook.bench, name="bench"),
    path("bench/suggest/", views_notebook.suggest, name="suggest"),
    path("bench/names/", views_notebook.names, name="names"),
    path("bench/preparation/<int:pk>/", views_notebook.read_preparation, name="read_preparation"),
    path("bench/<int:pk>/", views_notebook.kind_page, name="kind"),
    path("bench/<int:pk>/count/", views_counting.count, name="count"),
    path("bench/<int:pk>/entry/", views_notebook.entry, name="entry"),
    path("bench/<int:pk>/line/<str:character>/", views_notebook.line, name="line"),
    path("bench/<int:pk>/unfold/", views_notebook.unfold, name="unfold"),
    path("bench/<int:pk>/prepare/", views_notebook.prepare, name="prepare"),
    path("bench/<int:pk>/name/", views_reading.name, name="name"),
    path("second-reading/", views_reading.second_reading, name="second_reading"),
    path("second-reading/<int:pk>/", views_reading.second, name="second"),
    path("second-reading/<int:pk>/name/", views_reading.second_name, name="second_name"),
]
