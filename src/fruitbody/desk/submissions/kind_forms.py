"""The part of *Send a mushroom* that is about one kind, and all of them together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from fruitbody.desk.people.plain_forms import PlainForm
from fruitbody.desk.submissions import choices
from fruitbody.desk.submissions.announced import KindTold
from fruitbody.desk.submissions.told import BY_FORM, STATE_QUESTIONS, Told, told_findings
from fruitbody.examine.finding import FindingError
from fruitbody.funga import UnknownTermError, load


class KindForm(PlainForm):
    """One kind. Every answer but the label may be left out: an honest blank beats a guess."""

    label = forms.CharField(label=_("Your label for it"), max_length=40, help_text=_("Write the same on its bag."))
    photos = forms.CharField(required=False, max_length=600, widget=forms.HiddenInput)
    reference = forms.ChoiceField(
        label=_("What lies beside it in the photos, for size?"), required=False,
        choices=[("", "…"), *[(word, word[:1].upper() + word[1:]) for word in choices.REFERENCES]],
    )  # fmt: skip
    form = forms.ChoiceField(label=_("What does it look like?"), required=False)
    growth_habit = forms.ChoiceField(label=_("How do they stand?"), required=False)
    width = forms.FloatField(
        label=_("Width"), required=False, help_text=_("Across the cap; across the whole if it has no cap."),
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )  # fmt: skip
    height = forms.FloatField(
        label=_("Height"), required=False, help_text=_("Length of the stem; the whole height if it has no stem."),
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )  # fmt: skip
    unit = forms.ChoiceField(
        label=_("Measured in"), choices=[("cm", _("centimetres")), ("mm", _("millimetres")), ("in", _("inches"))]
    )
    colour = forms.ChoiceField(label=_("Colour on top"), required=False)
    smell = forms.ChoiceField(label=_("Smell"), required=False, help_text=_("Do not sniff puffballs or mouldy ones."))
    substrate = forms.ChoiceField(label=_("What does it grow on?"), required=False)
    host = forms.ChoiceField(
        label=_("Nearest tree or plant"), required=False, help_text=_("Within fifteen metres (50 feet).")
    )
    stage = forms.ChoiceField(label=_("How old is it?"), required=False)
    note = forms.CharField(
        label=_("Anything you noticed"), required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )
    remove = forms.BooleanField(label=_("Leave this kind out"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, character in {**{q: q for q in STATE_QUESTIONS}, "colour": BY_FORM["colour"][0]}.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices.states(character)

    def clean_photos(self) -> tuple[int, ...]:
        words = self.cleaned_data["photos"].split(",")
        return tuple(dict.fromkeys(int(word) for word in words if word.strip().isdecimal()))

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if data.get("remove"):
            # What is left out needs no mending.
            self.errors.clear()
            return data
        per_unit = choices.UNITS_MM.get(data.get("unit") or "cm", 10.0)
        for name in ("width", "height"):
            self._told(name, {f"{name}_mm": data[name] * per_unit} if data.get(name) is not None else {})
        return data

    def _told(self, name: str, answers: dict[str, Any]) -> None:
        """Try one number by itself, so that the sentence stands beside its field."""
        try:
            told_findings(load(), {"form": self.cleaned_data.get("form"), **answers} if answers else {})
        except (FindingError, UnknownTermError) as problem:
            self.add_error(name, str(problem))

    def kind_told(self) -> KindTold:
        data = self.cleaned_data
        told = self._all_told()
        note = "\n".join(part for part in (data["note"], *told.words) if part)
        return KindTold(data["label"], told.findings, note, data["photos"], data["reference"])

    def _all_told(self) -> Told:
        data, per_unit = self.cleaned_data, choices.UNITS_MM[self.cleaned_data["unit"]]
        lengths = {f"{name}_mm": data[name] * per_unit for name in ("width", "height") if data[name] is not None}
        return told_findings(load(), {**data, **lengths})


if TYPE_CHECKING:
    KindFormSetBase = forms.BaseFormSet[KindForm]
else:
    KindFormSetBase = forms.BaseFormSet


class BaseKinds(KindFormSetBase):
    """All kinds of a form; two of them may not bear the same label."""

    def clean(self) -> None:
        labels = [form.cleaned_data.get("label", "").casefold() for form in self.kept()]
        doubled = {label for label in labels if label and labels.count(label) > 1}
        if doubled:
            raise ValidationError(
                _("Two kinds bear the label “%(label)s”. Give each its own, and write it on its bag.")
                % {"label": doubled.pop().upper()}
            )
        if not labels:
            raise ValidationError(_("Tell us of one kind at least."))

    def kept(self) -> list[KindForm]:
        return [
            form for form in self.forms if getattr(form, "cleaned_data", None) and not form.cleaned_data.get("remove")
        ]


MOST_KINDS = 12
KindFormSet = forms.formset_factory(
    KindForm, formset=BaseKinds, extra=0, max_num=MOST_KINDS, absolute_max=MOST_KINDS, validate_max=True
)


def kind_forms(posted: QueryDict | None) -> BaseKinds:
    """The kinds that were posted, or one empty kind A."""
    made = KindFormSet(posted, prefix="kind", initial=None if posted else [{"label": label_of(0)}])
    assert isinstance(made, BaseKinds)
    return made


def label_of(index: int) -> str:
    """A, B, C ... for the first kinds, until the finder writes labels of their own."""
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[index % 26]
