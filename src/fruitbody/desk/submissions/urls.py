from __future__ import annotations

from django.urls import path

from fruitbody.desk.submissions import parcel_views, photo_views, views

app_name = "submissions"
urlpatterns = [
    path("", views.start, name="start"),
    path("send/", views.send, name="send"),
    path("send/photo", photo_views.photo_arrives, name="send_photo"),
    path("send/photo/<str:form_key>/<int:pk>/", photo_views.waiting_photo, name="waiting_photo"),
    path("send/photo/<str:form_key>/<int:pk>/drop", photo_views.waiting_photo_dropped, name="drop_photo"),
    path("s/<str:code>/", parcel_views.slip, name="slip"),
    path("pack/<str:token>/", parcel_views.pack, name="pack"),
    path("pack/<str:token>/labels.pdf", parcel_views.labels, name="labels"),
    path("pack/<str:token>/posted", parcel_views.posted, name="posted"),
    path("follow/<str:token>/", parcel_views.follow, name="follow"),
    path("follow/<str:token>/answer", parcel_views.answer, name="answer"),
    path("follow/<str:token>/photo", photo_views.photo_added, name="follow_photo"),
    path("follow/<str:token>/photo/<int:pk>/", photo_views.own_photo, name="own_photo"),
    path("follow/<str:token>/report/<int:version>/", parcel_views.report_version, name="report"),
    path("staff/photo/<int:pk>/<str:size>/", photo_views.staff_photo, name="staff_photo"),
    path("staff/letters/<int:pk>/again", parcel_views.letter_again, name="resend"),
]
