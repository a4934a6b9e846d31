"""Signing in and out, the clinic's settings, and what to do on an urgent call."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _

from fruitbody.desk.people.actions import change_clinic
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.forms import ClinicForm
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, may, requires


class SignIn(LoginView):
    template_name = "people/sign_in.html"
    redirect_authenticated_user = True


class SignOut(LogoutView):
    pass


@requires(Act.VIEW_STAFF_PAGES)
def staff_home(request: HttpRequest) -> HttpResponse:
    """Where one lands after signing in: Today."""
    try:
        return redirect(reverse("bench:today"))
    except NoReverseMatch:
        return redirect("people:urgent")


@requires(Act.VIEW_STAFF_PAGES)
def urgent_call(request: HttpRequest) -> HttpResponse:
    return render(request, "people/urgent.html")


@requires(Act.VIEW_STAFF_PAGES)
def clinic_page(request: HttpRequest) -> HttpResponse:
    """The settings and the staff; only a manager can change them."""
    clinic = clinic_of(request)
    decision = may(request.user, Act.EDIT_CLINIC)
    form = ClinicForm(request.POST or None, instance=Clinic.objects.filter(pk=clinic.pk).first())
    if request.method == "POST":
        assert isinstance(request.user, User)
        if form.is_valid():
            # The form has put its values on its own instance; the action sets them on the row as it stands.
            change_clinic(clinic, form.cleaned_data, by=request.user)
            messages.success(request, _("The settings are kept."))
            return redirect("people:clinic")
    if not decision:
        for field in form.fields.values():
            field.disabled = True
    staff = User.objects.filter(is_active=True).order_by("last_name", "first_name")
    context = {"form": form, "decision": decision, "staff": staff}
    return render(request, "people/clinic.html", context, status=400 if form.errors else 200)
