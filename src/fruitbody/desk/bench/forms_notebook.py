"""Forms of the notebook page: the whole form of one line, the name, the preparation. They read; the core judges."""

from __future__ import annotations

import secrets
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from fruitbody.desk.bench.actions.findings import LONGEST_NOTE, Typed, looked_at
from fruitbody.desk.bench.actions.naming import CERTAINTY, Naming
from fruitbody.desk.bench.entry import read_value
from fruitbody.desk.bench.models import Finding, Kind
from fruitbody.desk.bench.names import QUALIFIERS, RANKS
from fruitbody.desk.people.plain_forms import PlainForm
from fruitbody.funga.model import STAGES, Character, CharacterKind

ANSWERS = (
    ("present", _("seen, as above")),
    ("absent", _("absent, though it could be seen")),
    ("not-looked-for", _("not looked for")),
    ("could-not-tell", _("looked, could not tell")),
    ("cannot-be-seen", _("cannot be seen on this material")),
)
SEEN_ON = (("material", _("the material")), ("photo", _("a photo")), ("told", _("as told")))
FRUIT_BODIES = (("", _("the kind as a whole")), *((letter, letter) for letter in "abcdefgh"))
STAGE_CHOICES = (("", _("not said")), *((stage, stage) for stage in STAGES))
MOISTURE = (("", _("not said")), *((word, word) for word in ("fresh", "moist", "soaked", "dried", "re-moistened")))


def new_key() -> str:
    """A key that makes a form sent twice be kept once."""
    return secrets.token_urlsafe(12)


class LineForm(PlainForm):
    """Everything that can be said on one line. `value` is typed, or chosen among the character's states."""

    value = forms.CharField(required=False, max_length=200, label=_("What was seen"))
    states = forms.MultipleChoiceField(required=False, label=_("What was seen"), widget=forms.CheckboxSelectMultiple)
    negated = forms.BooleanField(required=False, label=_("It is not this"))
    answer = forms.ChoiceField(choices=ANSWERS, initial="present", label=_("Answer"))
    why = forms.CharField(required=False, max_length=200, label=_("Why it could not be told or seen"))
    uncertainty = forms.CharField(required=False, max_length=12, label=_("Uncertainty, ± (k = 2)"))
    n = forms.CharField(required=False, max_length=8, label=_("How many were measured"))
    fruit_body = forms.ChoiceField(required=False, choices=FRUIT_BODIES, label=_("On which fruit body"))
    part = forms.CharField(required=False, max_length=40, label=_("Which part"))
    stage = forms.ChoiceField(required=False, choices=STAGE_CHOICES, label=_("Its age"))
    moisture = forms.ChoiceField(required=False, choices=MOISTURE, label=_("Fresh or dried"))
    seen_on = forms.ChoiceField(choices=SEEN_ON, initial="material", label=_("Seen on"))
    method = forms.CharField(required=False, max_length=60, label=_("How (lens, ruler, KOH 5 % …)"))
    preparation = forms.ChoiceField(required=False, label=_("From which preparation"))
    photo = forms.ChoiceField(required=False, label=_("On which photo"))
    note = forms.CharField(required=False, max_length=LONGEST_NOTE, label=_("Note"), widget=forms.Textarea({"rows": 2}))

    def __init__(self, data: Any = None, *, kind: Kind, character: Character, before: Finding | None = None) -> None:
        super().__init__(
            data, initial=_initial(before) if before else {"seen_on": looked_at(kind)}, auto_id=f"id_{character.id}_%s"
        )
        self.character = character
        self._choice("states").choices = [(state.id, state.plain) for state in character.states]
        photos = [("", _("none"))] + [(p.pk, f"{p.get_view_display()} {p.pk}") for p in kind.photos.all()]
        self._choice("photo").choices = photos
        laid = [("", _("none"))] + [(p.pk, f"{p.what} {p.fruit_body or p.pk}") for p in kind.preparations.all()]
        self._choice("preparation").choices = laid
        unused = ("states", "negated") if self.is_measure else ("value", "uncertainty", "n")
        for name in unused:
            del self.fields[name]

    @property
    def is_measure(self) -> bool:
        return self.character.kind is CharacterKind.MEASURE

    def _choice(self, name: str) -> forms.ChoiceField:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        return field

    def fields_for_core(self) -> dict[str, Any]:
        """What `parse_finding` reads. Raises NotebookError for a value that is no number."""
        given = self.cleaned_data
        fields: dict[str, Any] = {"character": self.character.id}
        if given["answer"] not in ("present",):
            fields["answer"] = given["answer"]
        elif self.is_measure and given.get("value", "").strip():
            extra = "".join(
                (f" ± {given['uncertainty']}" if given["uncertainty"] else "", f" n {given['n']}" if given["n"] else "")
            )
            fields |= read_value(self.character, f"{given['value']}{extra}")
        elif given.get("states"):
            chosen = given["states"]
            marks = self.character.kind is CharacterKind.MARKS
            each = marks and len(chosen) > 1 and not given["negated"]
            fields |= {"value": chosen, "not": given["negated"], "each": each}
        for name in ("why", "fruit_body", "part", "stage", "seen_on"):
            if given.get(name):
                fields[name] = given[name]
        return fields

    def typed(self, *, form_key: str, last_seen: int, replaces: int | None, blind: bool) -> Typed:
        given = self.cleaned_data
        return Typed(
            fields=self.fields_for_core(),
            form_key=form_key,
            last_seen=last_seen,
            replaces=replaces,
            blind=blind,
            moisture=given["moisture"],
            method=given["method"],
            note=given["note"],
            photo=int(given["photo"]) if given["photo"] else None,
            preparation=int(given["preparation"]) if given["preparation"] else None,
        )


class NameForm(PlainForm):
    """The name on the determination slip."""

    name = forms.CharField(max_length=160, label=_("Name"), widget=forms.TextInput({"autocomplete": "off"}))
    qualifier = forms.ChoiceField(
        required=False, choices=[(q, q or _("none")) for q in QUALIFIERS], label=_("Qualifier")
    )
    rank = forms.ChoiceField(
        required=False, choices=[("", _("as in the funga")), *((r, r) for r in RANKS)], label=_("Rank")
    )
    as_typed = forms.BooleanField(required=False, label=_("Keep the name as typed"))
    according_to = forms.CharField(required=False, max_length=200, label=_("According to"))
    certainty = forms.ChoiceField(choices=[(c, c) for c in CERTAINTY], initial="likely", label=_("Certainty"))
    basis = forms.CharField(
        required=False, max_length=2000, label=_("What it rests on"), widget=forms.Textarea({"rows": 2})
    )
    acknowledged = forms.BooleanField(required=False)

    def naming(self, form_key: str) -> Naming:
        return Naming(**self.cleaned_data, form_key=form_key)


def _initial(row: Finding) -> dict[str, Any]:
    """The form filled with what a finding says, to correct it."""
    values = row.value if isinstance(row.value, list) else [] if row.value is None else [row.value]
    return {
        "value": " to ".join(f"{v:g}" for v in values if isinstance(v, int | float)),
        "states": [v for v in values if isinstance(v, str)],
        "negated": row.negated,
        "answer": row.answer,
        "why": row.why,
        "uncertainty": "" if row.uncertainty is None else f"{row.uncertainty:g}",
        "n": row.n or "",
        "fruit_body": row.fruit_body,
        "part": row.part,
        "stage": row.stage,
        "moisture": row.moisture,
        "seen_on": row.seen_on,
        "method": row.method,
        "photo": row.photo_id or "",
        "preparation": row.detail.get("preparation") or "",
        "note": row.note,
    }
