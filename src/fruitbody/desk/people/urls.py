from __future__ import annotations

from django.urls import path

from fruitbody.desk.people import views

app_name = "people"
urlpatterns = [
    path("", views.staff_home, name="staff_home"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", views.SignOut.as_view(), name="sign_out"),
    path("urgent/", views.urgent_call, name="urgent"),
    path("clinic/", views.clinic_page, name="clinic"),
]
