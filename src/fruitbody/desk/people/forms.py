from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import available_timezones

from django import forms

from fruitbody.desk.people.models import Clinic
from fruitbody.desk.people.phones import PhoneError, phone_e164

if TYPE_CHECKING:
    ClinicModelForm = forms.ModelForm[Clinic]
else:
    ClinicModelForm = forms.ModelForm

FIELDS = [
    "name", "department", "address", "county", "region", "country", "phone", "email", "hours", "time_zone",
    "number_prefix", "paper", "accredited", "poison_line", "emergency_number", "promised_days", "fold_ranking_share",
]  # fmt: skip


class ClinicForm(ClinicModelForm):
    """Letterhead and house rules."""

    class Meta:
        model = Clinic
        fields = FIELDS
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    def clean_phone(self) -> str:
        try:
            return phone_e164(self.cleaned_data["phone"], str(self.data.get("country") or "US"))
        except PhoneError as problem:
            raise forms.ValidationError(str(problem)) from problem

    def clean_time_zone(self) -> str:
        zone: str = self.cleaned_data["time_zone"]
        if zone not in available_timezones():
            raise forms.ValidationError(f"“{zone}” is no time zone. Write one such as America/New_York.")
        return zone

    def clean_number_prefix(self) -> str:
        prefix: str = self.cleaned_data["number_prefix"].upper()
        if not (prefix.isascii() and prefix.isalpha()):
            raise forms.ValidationError("The first letters of clinic numbers are letters from A to Z.")
        return prefix

    def clean_fold_ranking_share(self) -> float:
        share: float = self.cleaned_data["fold_ranking_share"]
        if not 0 <= share <= 1:
            raise forms.ValidationError("The share lies between 0 and 1.")
        return share
