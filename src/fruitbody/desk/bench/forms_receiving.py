"""The forms of Receiving. Each leaves as a value of `seen.py`; the actions know nothing of forms."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from typing import Any

from django import forms

from fruitbody.desk.bench.actions.receiving import AT_THE_DESK
from fruitbody.desk.bench.models import Kind
from fruitbody.desk.bench.seen import FRESH_WHOLE, LONGEST_LABEL, BagSeen, BoxSeen, KindSeen, Unannounced
from fruitbody.desk.people.models import Clinic
from fruitbody.desk.people.phones import PhoneError, phone_e164
from fruitbody.desk.people.plain_forms import PlainForm
from fruitbody.desk.records.in_force import load
from fruitbody.desk.submissions import choices
from fruitbody.desk.submissions.forms import FORM_KEY, NO_FORM_KEY
from fruitbody.desk.submissions.models import Origin, Party, Question

NEW_ROWS = 2


def materials() -> list[tuple[str, str]]:
    return [(m.id, m.plain) for m in load().material_kinds.values()]


def conditions() -> list[tuple[str, str]]:
    """All conditions; those that ask for the hood stand first, so that they are seen before anything is opened."""
    known = sorted(load().conditions.values(), key=lambda condition: not condition.hood)
    return [(condition.id, condition.plain) for condition in known]


NOBODY_KNOWS = "unknown"


class KeyedForm(PlainForm):
    """A form with a key of its own: sent twice, kept once. Where it was posted is asked of every parcel."""

    form_key = forms.RegexField(FORM_KEY, widget=forms.HiddenInput, error_messages={"invalid": NO_FORM_KEY})
    origin_region = forms.ChoiceField(
        label="Where was it posted or found?", help_text="From another state or country it stays shut."
    )

    def __init__(self, *args: Any, clinic: Clinic, posted_in: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        region = self.fields["origin_region"]
        assert isinstance(region, forms.ChoiceField)
        region.choices = [*choices.regions(clinic.country), (NOBODY_KNOWS, "Nobody knows")]
        if not self.is_bound:
            region.initial = posted_in or clinic.region
            self.initial["form_key"] = secrets.token_urlsafe(32)

    def clean_origin_region(self) -> str:
        region: str = self.cleaned_data["origin_region"]
        return "" if region == NOBODY_KNOWS else region


class ConditionsForm(KeyedForm):
    """What can be seen before anything is opened."""

    conditions = forms.MultipleChoiceField(
        label="Condition, as far as it shows", required=False, choices=conditions, widget=forms.CheckboxSelectMultiple
    )
    in_hood = forms.BooleanField(label="It lies under the hood now.", required=False)
    photo = forms.FileField(
        label="Photo of the bag with its label", required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )  # fmt: skip


class ReceiveForm(ConditionsForm):
    """A bag of an announced submission, as a whole; its kinds have their own rows."""

    label = forms.CharField(
        label="What is written on the bag", required=False, max_length=LONGEST_LABEL, help_text="As it stands there."
    )
    place = forms.CharField(label="Where it is kept now", required=False, max_length=80)
    note = forms.CharField(label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

    def seen(self, kinds: tuple[KindSeen, ...]) -> BagSeen:
        told = self.cleaned_data
        return BagSeen(
            form_key=told["form_key"],
            kinds=kinds,
            conditions=tuple(told["conditions"]),
            label=told["label"],
            place=told["place"],
            note=told["note"],
            in_hood=told["in_hood"],
            origin_region=told["origin_region"],
        )


class KindRow(PlainForm):
    """An announced kind: is it in this bag, what is left of it."""

    here = forms.BooleanField(required=False)
    material = forms.ChoiceField(label="Kind of material", choices=materials, initial=FRESH_WHOLE)
    conditions = forms.MultipleChoiceField(
        label="Only for this kind", required=False, choices=conditions, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, data: Any, *, kind: Kind, initial: dict[str, Any]) -> None:
        super().__init__(data, prefix=f"kind-{kind.pk}", initial=initial)
        self.kind = kind
        self.fields["here"].label = f"{kind.finder_label} is in this bag"

    def seen(self) -> KindSeen | None:
        told = self.cleaned_data
        if not told["here"]:
            return None
        return KindSeen(self.kind.finder_label, self.kind.pk, told["material"], tuple(told["conditions"]))


class NewKindRow(PlainForm):
    """A kind in the bag that nobody announced."""

    label = forms.CharField(label="Its label", required=False, max_length=LONGEST_LABEL)
    material = forms.ChoiceField(label="Kind of material", choices=materials, initial=FRESH_WHOLE)

    def seen(self) -> KindSeen | None:
        label = self.cleaned_data["label"]
        return KindSeen(label, None, self.cleaned_data["material"]) if label else None


class ReceiveSheet:
    """The whole page: the bag, a row per announced kind that is not here yet, and rows for new ones."""

    def __init__(
        self, data: Any, files: Any, *, kinds: Sequence[Kind], clinic: Clinic, posted_in: str, ticked: str
    ) -> None:
        self.bag = ReceiveForm(data, files, clinic=clinic, posted_in=posted_in)
        chosen = ticked if any(kind.finder_label == ticked for kind in kinds) else ""
        self.rows = [
            KindRow(data, kind=kind, initial={"here": not chosen or kind.finder_label == chosen}) for kind in kinds
        ]
        self.new = [NewKindRow(data, prefix=f"new-{n}") for n in range(NEW_ROWS)]

    def is_valid(self) -> bool:
        errors = [form.errors for form in (self.bag, *self.rows, *self.new)]
        return not any(errors)

    def seen(self) -> BagSeen:
        kinds = [row.seen() for row in self.rows] + [row.seen() for row in self.new]
        return self.bag.seen(tuple(kind for kind in kinds if kind is not None))


class NoFormForm(ConditionsForm):
    """Number, label and photo in one step."""

    label = forms.CharField(
        label="Label", max_length=LONGEST_LABEL, initial="A", help_text="What is written on it; A where nothing is."
    )
    origin = forms.ChoiceField(
        label="How it came", choices=[(o.value, o.label) for o in AT_THE_DESK], initial=Origin.WALK_IN,
    )  # fmt: skip
    material = forms.ChoiceField(label="Kind of material", choices=materials, initial=FRESH_WHOLE)

    def seen(self) -> Unannounced:
        told = self.cleaned_data
        kind = KindSeen(told["label"], None, told["material"])
        bag = BagSeen(
            form_key=told["form_key"],
            kinds=(kind,),
            conditions=tuple(told["conditions"]),
            label=told["label"],
            in_hood=told["in_hood"],
            origin_region=told["origin_region"],
        )
        return Unannounced(bag, told["origin"])


class BoxForm(KeyedForm):
    """A parcel with bags of several submissions."""

    carrier = forms.CharField(
        label="Who brought it", required=False, max_length=60, help_text="Post, courier, a person."
    )
    note = forms.CharField(label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

    def seen(self) -> BoxSeen:
        told = self.cleaned_data
        return BoxSeen(told["form_key"], told["origin_region"], told["carrier"], told["note"])


class SenderForm(PlainForm):
    """Who sent what came without a form."""

    name = forms.CharField(label="Name", max_length=120)
    email = forms.EmailField(label="E-mail", required=False)
    phone = forms.CharField(label="Telephone", required=False, max_length=30)
    question = forms.ChoiceField(label="What they ask", choices=Question.choices)
    county = forms.CharField(label="County where it grew", required=False, max_length=80)

    def __init__(self, *args: Any, clinic: Clinic, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.clinic = clinic
        self.fields["county"].initial = clinic.county

    def clean_phone(self) -> str:
        if not self.cleaned_data["phone"]:
            return ""
        try:
            return phone_e164(self.cleaned_data["phone"], self.clinic.country)
        except PhoneError as problem:
            raise forms.ValidationError(str(problem)) from problem

    def clean(self) -> dict[str, Any]:
        told = super().clean() or self.cleaned_data
        if not self.errors and not told.get("email") and not told.get("phone"):
            self.add_error("phone", "Write an e-mail address or a telephone number; danger is told by voice.")
        return told

    def sender(self) -> Party:
        """The party, not saved."""
        told = self.cleaned_data
        way = Party.Way.MAIL if told["email"] else Party.Way.PHONE
        return Party(name=told["name"], email=told["email"], phone=told["phone"], way=way)


class ReleaseForm(PlainForm):
    """What the supervisor decides about a shut box."""

    decision = forms.ChoiceField(
        label="Decision",
        choices=[("open", "It may be opened"), ("destroy", "It was destroyed unopened")],
        widget=forms.RadioSelect,
    )
    permit = forms.CharField(label="Number of the permit", required=False, max_length=60)
    words = forms.CharField(
        label="In words", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Conditions of the permit, or how it was destroyed and who was there.",
    )  # fmt: skip
