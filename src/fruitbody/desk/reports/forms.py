"""The forms of the report room: the letter being written, what a new version changes, what was said by telephone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from fruitbody.desk.bench.models import Task
from fruitbody.desk.people.plain_forms import PlainForm
from fruitbody.desk.reports.facts import Facts
from fruitbody.desk.reports.letter import FOR_WHOM, KindWords, LetterWords, read_letter
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.reports.saying import Talk
from fruitbody.report import KindReport, ReportContent

LONGEST = 4000
READING_CHOICES = (
    ("before", _("came before issue")),
    ("after", _("comes after issue")),
    ("waived", _("is waived, for the reason given below")),
)
WHOM_LABELS = {
    "lawn": _("For the lawn or bed"),
    "tree": _("For the tree"),
    "house": _("For the house"),
    "people": _("For people"),
    "animals": _("For animals"),
}


def _area(label: Any, *, rows: int = 3, help_text: Any = "", longest: int = LONGEST) -> forms.CharField:
    return forms.CharField(
        label=label, required=False, max_length=longest, help_text=help_text, widget=forms.Textarea({"rows": rows})
    )


class DraftForm(PlainForm):
    """The whole letter on one form; fields of a kind are named k<id>-<what>. Prepared texts stand in the fields."""

    answer = _area(_("Answer to the question"), rows=6)
    does_not_answer = _area(_("Why this clinic does not answer it"), rows=2)
    changed = _area(_("What changed, a line each"))
    why = _area(_("Why it changed"), rows=2)
    second_reading = forms.ChoiceField(
        label=_("Second reading"), required=False, choices=READING_CHOICES, widget=forms.RadioSelect
    )
    note = forms.CharField(
        label=_("Reason, or how a difference was settled"), required=False, max_length=300
    )  # fmt: skip
    opened = forms.CharField(required=False, max_length=16, widget=forms.HiddenInput)
    seen = forms.CharField(required=False, max_length=16, widget=forms.HiddenInput)

    def __init__(
        self, data: Any = None, *, report: ReportVersion, words: LetterWords, prepared: Mapping[int, KindReport],
        answer: str, marks: Mapping[str, str],
    ) -> None:  # fmt: skip
        self.words, self.prepared, self.prepared_answer = words, prepared, answer
        super().__init__(data, initial=self._initial(report) | dict(marks))
        for pk in prepared:
            self.fields[f"k{pk}-answer"] = _area(_("Answer for this kind, where it differs"), rows=2)
            self.fields[f"k{pk}-opinion"] = _area(_("Opinion or interpretation, marked as such"), rows=2)
            for whom in FOR_WHOM:
                self.fields[f"k{pk}-{whom}"] = _area(WHOM_LABELS[whom])
        if report.supersedes_id is None:
            del self.fields["changed"], self.fields["why"]

    def _initial(self, report: ReportVersion) -> dict[str, str]:
        words = self.words
        first = {
            "answer": self.prepared_answer if words.answer is None else words.answer,
            "does_not_answer": words.does_not_answer,
            "changed": words.changed,
            "why": words.why,
            "second_reading": report.second_reading if report.second_reading != "none" else "",
            "note": report.second_reading_note,
        }
        for pk, kind in self.prepared.items():
            typed = words.of(pk)
            first[f"k{pk}-answer"] = typed.answer
            first[f"k{pk}-opinion"] = _prepared_opinion(kind) if typed.opinion is None else typed.opinion
            for whom in FOR_WHOM:
                first[f"k{pk}-{whom}"] = typed.means.get(whom, getattr(kind.means, whom))
        return first

    def fields_of(self, pk: int) -> dict[str, Any]:
        """The fields of one kind, for the page."""
        return {
            "answer": self[f"k{pk}-answer"],
            "opinion": self[f"k{pk}-opinion"],
            "means": [self[f"k{pk}-{whom}"] for whom in FOR_WHOM],
        }

    def letter(self) -> LetterWords:
        """What was typed. A text left as it was prepared is not kept: it goes on following the name."""
        answer = self._text("answer")
        return LetterWords(
            answer=None if answer == _plain(self.prepared_answer) else answer,
            does_not_answer=self._text("does_not_answer"),
            kinds={pk: words for pk, kind in self.prepared.items() if (words := self._kind(pk, kind)) != KindWords()},
            changed=self._text("changed"),
            why=self._text("why"),
        )

    def _kind(self, pk: int, kind: KindReport) -> KindWords:
        opinion = self._text(f"k{pk}-opinion")
        texts = {whom: self._text(f"k{pk}-{whom}") for whom in FOR_WHOM}
        return KindWords(
            answer=self._text(f"k{pk}-answer"),
            opinion=None if opinion == _plain(_prepared_opinion(kind)) else opinion,
            means={whom: text for whom, text in texts.items() if text != _plain(getattr(kind.means, whom))},
        )

    def _text(self, name: str) -> str:
        return _plain(str(self.cleaned_data.get(name, "")))


def draft_form(
    report: ReportVersion, facts: Facts, prepared: ReportContent, data: Any = None, **marks: str
) -> DraftForm:
    """The form over the prepared content. marks: the digests `opened` and `seen`."""
    kinds = {one.kind.pk: told for one, told in zip(facts.kinds, prepared.kinds, strict=True)}
    words = read_letter(report.letter)
    return DraftForm(data, report=report, words=words, prepared=kinds, answer=prepared.answer, marks=marks)


def _prepared_opinion(kind: KindReport) -> str:
    return kind.opinions[0].text if kind.opinions else ""


def _plain(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


class AmendForm(PlainForm):
    changed = forms.CharField(
        label=_("What changes against the earlier version, a line each"),
        max_length=LONGEST,
        widget=forms.Textarea({"rows": 3}),
    )
    why = forms.CharField(label=_("Why"), max_length=LONGEST, widget=forms.Textarea({"rows": 2}))


class SpokenForm(PlainForm):
    """A call as it was made."""

    to_name = forms.CharField(label=_("Who was called"), max_length=120)
    phone = forms.CharField(label=_("Number"), max_length=20, required=False)
    at = forms.DateTimeField(
        label=_("When"), widget=forms.DateTimeInput({"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    )
    reached = forms.BooleanField(label=_("They were reached"), required=False)
    words = forms.CharField(
        label=_("Words said, or that nobody answered"), max_length=LONGEST, widget=forms.Textarea({"rows": 5})
    )
    read_back = forms.BooleanField(label=_("They said it back to us"), required=False)
    preliminary = forms.BooleanField(label=_("It was said as preliminary"), required=False)
    settles = forms.MultipleChoiceField(
        label=_("It settles"), required=False, widget=forms.CheckboxSelectMultiple
    )  # fmt: skip

    def __init__(self, data: Any = None, *, tasks: Iterable[Task], initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial=dict(initial or {}))
        field = self.fields["settles"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(str(task.pk), task.words) for task in tasks]

    def talk(self) -> Talk:
        given = self.cleaned_data
        return Talk(
            to_name=given["to_name"],
            words=given["words"],
            reached=given["reached"],
            read_back=given["read_back"],
            preliminary=given["preliminary"],
            phone=given["phone"],
            at=given["at"],
            settles=[int(pk) for pk in given["settles"]],
        )
