"""The form of *Send a mushroom*: one part about the case, one part per kind. Answers leave it as an `Announcement`."""

from __future__ import annotations

import re
from email.utils import getaddresses
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fruitbody.desk.people.models import Clinic
from fruitbody.desk.people.phones import PhoneError, phone_e164
from fruitbody.desk.people.plain_forms import PlainForm
from fruitbody.desk.submissions import choices
from fruitbody.desk.submissions.announced import Announcement, KindTold, PartyTold, Place
from fruitbody.desk.submissions.models import Eaten, Party, Question

FORM_KEY = re.compile(r"[A-Za-z0-9_-]{32,64}\Z")
NO_FORM_KEY = _("The form has lost its key. Load the page anew; what you typed comes back.")


class SendForm(PlainForm):
    """Everything about the case as a whole."""

    form_key = forms.RegexField(FORM_KEY, widget=forms.HiddenInput, error_messages={"invalid": NO_FORM_KEY})
    eaten = forms.ChoiceField(label=_("Has anyone eaten it?"), choices=Eaten.choices, widget=forms.RadioSelect)
    eaten_note = forms.CharField(
        label=_("Who, how much, when?"), required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Call first. Say an age band rather than a name."),
    )  # fmt: skip
    picked = forms.ChoiceField(
        label=_("Have you picked it already?"), choices=[("yes", _("Yes")), ("no", _("No"))], widget=forms.RadioSelect
    )
    question = forms.ChoiceField(
        label=_("What would you like to know?"), choices=Question.choices, widget=forms.RadioSelect
    )
    question_note = forms.CharField(
        label=_("In your own words"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )

    name = forms.CharField(label=_("Your name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"}))
    email = forms.EmailField(
        label=_("E-mail"), required=False, help_text=_("The private link and the report go there."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )  # fmt: skip
    phone = forms.CharField(
        label=_("Telephone"), required=False, max_length=30,
        help_text=_("With its area code. Danger is told by voice."),
        widget=forms.TextInput(attrs={"autocomplete": "tel", "type": "tel"}),
    )  # fmt: skip
    address = forms.CharField(
        label=_("Postal address"), required=False, max_length=400, widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Only if you would like a letter on paper."),
    )  # fmt: skip
    way = forms.ChoiceField(label=_("How shall we reach you?"), choices=Party.Way.choices, widget=forms.RadioSelect)
    consent_photos = forms.BooleanField(
        label=_("You may keep my photos and show them without my name."), required=False
    )
    consent_place = forms.BooleanField(
        label=_("You may keep the exact place. Without this we keep county and state only."), required=False
    )
    for_other = forms.BooleanField(label=_("I send it for somebody else."), required=False)
    client_name = forms.CharField(label=_("Their name"), required=False, max_length=120)
    client_organisation = forms.CharField(label=_("Their firm or office"), required=False, max_length=120)
    client_email = forms.EmailField(label=_("Their e-mail"), required=False)
    client_phone = forms.CharField(label=_("Their telephone"), required=False, max_length=30)
    other_payer = forms.BooleanField(label=_("Somebody else pays."), required=False)
    payer_name = forms.CharField(label=_("Who pays"), required=False, max_length=120)
    payer_email = forms.EmailField(label=_("E-mail for the bill"), required=False)
    recipients = forms.CharField(
        label=_("Others who shall get the report"), required=False, max_length=600,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("One to a line: an e-mail address, or Name <address>."),
    )  # fmt: skip

    region = forms.ChoiceField(label=_("State or country where it was found"))
    county = forms.CharField(label=_("County"), required=False, max_length=80)
    place_words = forms.CharField(
        label=_("The place in words"),
        required=False,
        max_length=200,
        help_text=_("Lawn by the school, foot of an oak …"),
    )
    latitude = forms.FloatField(required=False, min_value=-90, max_value=90, widget=forms.HiddenInput)
    longitude = forms.FloatField(required=False, min_value=-180, max_value=180, widget=forms.HiddenInput)
    place_uncertainty_m = forms.FloatField(required=False, min_value=0, widget=forms.HiddenInput)
    found_on = forms.DateField(
        label=_("When did you find it?"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(
        label=_("Anything else"), required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, clinic: Clinic, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.clinic = clinic
        region = self.fields["region"]
        assert isinstance(region, forms.ChoiceField)
        region.choices = choices.regions(clinic.country)
        if not self.is_bound:
            region.initial = clinic.region
            self.fields["county"].initial = clinic.county

    def clean_phone(self) -> str:
        return self._phone("phone")

    def clean_client_phone(self) -> str:
        return self._phone("client_phone")

    def _phone(self, name: str) -> str:
        typed: str = self.cleaned_data[name]
        try:
            return phone_e164(typed, self.clinic.country) if typed else ""
        except PhoneError as problem:
            raise ValidationError(str(problem)) from problem

    def clean_found_on(self) -> Any:
        day = self.cleaned_data["found_on"]
        if day and day > timezone.localdate():
            raise ValidationError(_("This day is still to come. Check the date."))
        return day

    def clean_recipients(self) -> list[tuple[str, str]]:
        lines: str = self.cleaned_data["recipients"]
        pairs = [pair for line in lines.splitlines() if line.strip() for pair in getaddresses([line])]
        for _name, address in pairs:
            try:
                validate_email(address)
            except ValidationError as error:
                raise ValidationError(_("One line holds no e-mail address. Write one address to a line.")) from error
        if len(pairs) > 10:
            raise ValidationError(_("We send to up to ten more people. Name fewer."))
        return pairs

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        way = data.get("way")
        if not self.errors.get("email") and not self.errors.get("phone"):
            if way == Party.Way.PHONE and not data.get("phone"):
                self.add_error("phone", _("You would like a call, so we need your telephone number."))
            if way == Party.Way.MAIL and not data.get("email"):
                self.add_error("email", _("You would like e-mail, so we need your address. Or choose another way."))
        if way == Party.Way.POST and not data.get("address"):
            self.add_error("address", _("You would like a letter, so we need your postal address."))
        if data.get("for_other") and not data.get("client_name"):
            self.add_error("client_name", _("You send it for somebody else, so we need their name."))
        if data.get("other_payer") and not data.get("payer_name"):
            self.add_error("payer_name", _("Somebody else pays, so we need their name."))
        return data

    def announcement(self, kinds: tuple[KindTold, ...], language: str) -> Announcement:
        data = self.cleaned_data
        return Announcement(
            form_key=data["form_key"],
            eaten=data["eaten"],
            eaten_note=data["eaten_note"],
            picked=data["picked"] == "yes",
            question=data["question"],
            question_note=data["question_note"],
            place=self._place(),
            parties=self._parties(),
            kinds=kinds,
            note=data["note"],
            consent_photos=data["consent_photos"],
            consent_place=data["consent_place"],
            language=language,
        )

    def _place(self) -> Place:
        data = self.cleaned_data
        exact = data["consent_place"] and data["latitude"] is not None and data["longitude"] is not None
        return Place(
            region=data["region"],
            county=data["county"],
            words=data["place_words"],
            found_on=data["found_on"],
            latitude=data["latitude"] if exact else None,
            longitude=data["longitude"] if exact else None,
            uncertainty_m=data["place_uncertainty_m"] if exact else None,
        )

    def _parties(self) -> tuple[PartyTold, ...]:
        data, role = self.cleaned_data, Party.Role
        parties = [
            PartyTold(
                role.SUBMITTER, data["name"], data["email"], data["phone"], address=data["address"], way=data["way"]
            )
        ]
        if data["for_other"]:
            client = PartyTold(
                role.CLIENT,
                data["client_name"],
                data["client_email"],
                data["client_phone"],
                data["client_organisation"],
            )
            parties.append(client)
        if data["other_payer"]:
            parties.append(PartyTold(role.PAYER, data["payer_name"], data["payer_email"]))
        parties += [PartyTold(role.RECIPIENT, name or address, address) for name, address in data["recipients"]]
        return tuple(parties)
