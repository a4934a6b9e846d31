"""Forms whose refusals are sentences that say what to do, in place of the framework's own words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

ANY = {"required": _("This is needed. Please fill it in."), "max_length": _("This is too long. Please shorten it.")}
CHOICE = {
    "required": _("Please choose one of the answers."),
    "invalid_choice": _("This answer is not on the list. Please choose one that is."),
}
NUMBER = {
    "invalid": _("This is no number. Please write digits, such as 6 or 6.5."),
    "min_value": _("This number is too small. Please check it."),
    "max_value": _("This number is too large. Please check it."),
}
# A later class of field overrules an earlier one: decimals and floats count as whole numbers to the framework.
WORDS: tuple[tuple[type[forms.Field], Mapping[str, Any]], ...] = (
    (forms.ChoiceField, CHOICE),
    (forms.EmailField, {"invalid": _("This is no e-mail address. Please write it as name@example.org.")}),
    (forms.IntegerField, {**NUMBER, "invalid": _("This is no whole number. Please write digits, such as 6.")}),
    (forms.FloatField, NUMBER),
    (forms.DecimalField, NUMBER),
    (forms.DateField, {"invalid": _("This is no date. Please choose a day, or write it as 2026-11-25.")}),
    (forms.DateTimeField, {"invalid": _("This is no moment. Please write day and time, as 2026-11-25 14:30.")}),
)


class PlainForm(forms.Form):
    """Every field speaks plainly; a field with words of its own keeps them."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            speak_plainly(field)


def speak_plainly(field: forms.Field) -> None:
    """Put our sentence wherever the field still has the framework's."""
    ours: dict[str, Any] = dict(ANY)
    for kind, words in WORDS:
        if isinstance(field, kind):
            ours |= words
    own = _defaults(field)
    for code, sentence in ours.items():
        if field.error_messages.get(code) == own.get(code):
            field.error_messages[code] = sentence


def _defaults(field: forms.Field) -> dict[str, Any]:
    """The messages that the field's classes bring along."""
    messages: dict[str, Any] = {}
    for cls in reversed(type(field).__mro__):
        messages |= getattr(cls, "default_error_messages", {})
    return messages
