"""Why a report may not be issued yet: each reason a sentence that says what to do. Pure functions.

ReportRefused         a report was to be printed that may not be issued; `.sentences` holds the reasons
"""

from __future__ import annotations

from collections.abc import Iterator

from fruitbody.report.banned import BANNED, banned_words
from fruitbody.report.compose import plain_name
from fruitbody.report.content import KindReport, Question, ReportContent
from fruitbody.report.qualifiers import Qualifier


class ReportRefused(ValueError):  # noqa: N818 - it is a refusal, and reads as one
    """The report may not be issued as it stands."""

    def __init__(self, sentences: tuple[str, ...]) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


def refusals(content: ReportContent) -> tuple[str, ...]:
    """Sentences that say why this report may not be issued, and what to do; empty when it may."""
    return (*_frame(content), *_kinds(content), *_amendment(content), *_wording(content), *_masked_name(content))


def _frame(content: ReportContent) -> Iterator[str]:
    came = content.submission
    if content.language not in BANNED:
        yield f"A report can be written in {' or '.join(BANNED)}, not in “{content.language}”. Choose one of these."
    if content.issued_at.utcoffset() is None or came.received_at.utcoffset() is None:
        yield "The times of issue and receipt need a time zone. Give both with their zone."
    elif content.issued_at < came.received_at:
        yield "The report would be issued before the bag was received. Correct one of the two times."
    if not content.zone.strip():
        yield "The name of the time zone is missing. Give it, such as America/New_York."
    if not content.issued_by.name.strip():
        yield "Nobody is named as issuing this report. Name the person who answers for it."
    if content.call is not None and content.call.at.utcoffset() is None:
        yield "The time of the call needs a time zone. Give it with its zone."
    if not content.formal.methods:
        yield "The report does not say how the pieces were examined. Add at least one method."
    answered = content.answer.strip() or content.does_not_answer.strip() or came.question is Question.EATING
    if not answered and not (content.kinds and all(kind.answer.strip() for kind in content.kinds)):
        yield "The question asked has no answer yet. Answer it, or say that this clinic does not and why."


def _kinds(content: ReportContent) -> Iterator[str]:
    if not content.kinds:
        yield "The report has no kind. Add what was in the bag, also when nothing could be named."
    for kind in content.kinds:
        called = f"Kind {kind.clinic_number}"
        if kind.determined_by is None or not kind.determined_by.name.strip():
            yield f"{called} has no determiner. Say who gave the name, or who found that it cannot be named."
        if not kind.on_hold and not kind.rank.strip():
            yield f"{called} does not say how far it is named. Give the rank in words, or why it is not named."
        if any(part.text == Qualifier.AFF for part in kind.name) and not kind.opinions:
            yield f"{called} is named with “aff.”, which says that it differs. Add an opinion that says in what."
        for opinion in kind.opinions:
            if not opinion.by.name.strip() or not opinion.basis.strip():
                yield f"An opinion on kind {kind.clinic_number} lacks its author or its basis. Add both."


def _amendment(content: ReportContent) -> Iterator[str]:
    if content.version < 1:
        yield "A report's version is 1 or more. Correct the version."
    if content.version > 1 and not (content.supersedes.strip() and content.changed and content.why.strip()):
        yield "A new version says which one it replaces, what changed and why. Fill in all three."


def _wording(content: ReportContent) -> Iterator[str]:
    names = (*content.listed_names, *_proper_names(content))
    for where, text in _our_texts(content):
        for language in BANNED:
            for found in banned_words(text, language=language, names=names):
                yield (
                    f"{where}: “{found.word}” must not stand in a report. We clear no mushroom for eating and judge no "
                    "tree. Say it another way."
                )


def _masked_name(content: ReportContent) -> Iterator[str]:
    """A name on hold must not slip out through a text written by hand."""
    for kind in content.kinds:
        given = [name for name in (plain_name(kind), kind.vernacular) if name]
        if not kind.on_hold or not given:
            continue
        for where, text in _our_texts(content):
            if any(name.casefold() in text.casefold() for name in given) and not where.startswith("Name"):
                yield f"{where}: the name of kind {kind.clinic_number} is on hold and stands in it. Take it out."


def _proper_names(content: ReportContent) -> Iterator[str]:
    yield from (content.clinic.name, *content.clinic.address, content.clinic.email, content.clinic.web)
    yield from (content.issued_by.name, content.client.name, *(party.name for party in content.recipients))
    for kind in content.kinds:
        yield plain_name(kind)
        yield from (name.strip() for name in kind.vernacular.split(","))


def _our_texts(content: ReportContent) -> Iterator[tuple[str, str]]:
    """Every text that we answer for, and where it stands. What the client told us is not among them."""
    yield "Answer", content.answer
    yield "Why we do not answer", content.does_not_answer
    yield "Why it changed", content.why
    yield from (("What changed", text) for text in content.changed)
    yield "Condition", content.submission.condition
    yield "Clinic", content.clinic.accreditation
    formal = content.formal
    yield from (("Formal items", text) for text in (formal.title, formal.location, formal.sampling))
    yield from (("Formal items", text) for text in (*formal.methods, *formal.deviations, *formal.external))
    for kind in content.kinds:
        yield from ((f"{where} ({kind.clinic_number})", text) for where, text in _kind_texts(kind))


def _kind_texts(kind: KindReport) -> Iterator[tuple[str, str]]:
    yield from (("Name", kind.vernacular), ("Rank", kind.rank), ("Certainty", kind.certainty), ("Answer", kind.answer))
    yield from (("According to", kind.according_to), ("What it is", kind.what))
    means = kind.means
    yield from (("What it means", text) for text in (means.lawn, means.tree, means.house, means.people, means.animals))
    for group in kind.not_excluded:
        yield from (("Not excluded", group.group), ("Not excluded", group.syndrome))
    yield from (("Also not excluded", group) for group in kind.also_not_excluded)
    for photo in kind.photos:
        yield from (("Photo", photo.view), ("Photo", photo.caption), ("Photo", photo.alt))
    for row in kind.evidence:
        yield "Finding", f"{row.organ} {row.character}: {row.value}"
    for unseen in kind.not_seen:
        yield "Not seen", f"{unseen.organ} {unseen.character}: {unseen.why}"
    for opinion in kind.opinions:
        yield from (("Opinion", opinion.text), ("Opinion", opinion.basis))
