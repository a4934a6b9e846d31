"""The letter of page 1: its words, in the order in which a worried person should read them. Pure functions."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fruitbody.report.banned import BANNED, banned_words
from fruitbody.report.cautions import caution
from fruitbody.report.content import KindReport, Means, Question, ReportContent
from fruitbody.report.formal import shown_person
from fruitbody.report.qualifiers import NamePart, joined
from fruitbody.report.words import QUESTIONS, moment, quoted, size_in_words, word

_POISONING = ("poisoning", "poisoning_people", "poisoning_animals")
_FOR_WHOM = ("lawn", "tree", "house", "people", "animals")


@dataclass(frozen=True, slots=True, kw_only=True)
class KindLetter:
    """One kind on page 1.

    label: the finder's own, quoted; '' where it may not stand here. name: one upright part, such as 'Not named',
    where no name is given. status: rank and certainty in words. means: (for whom, sentences).
    not_excluded: (group, syndrome in words).
    """

    label: str
    clinic_number: str
    name: tuple[NamePart, ...]
    vernacular: str
    status: str
    according_to: str
    what: str
    size: str
    answer: str
    means: tuple[tuple[str, str], ...]
    not_excluded: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """Page 1 in reading order: what cannot wait, what changed, question, answer, each kind, cautions, signature.

    called: the call that was made, where nothing urgent tells it already. cautions: paragraphs, 'not eating' first.
    """

    urgent: tuple[str, ...]
    called: str
    replaces: str
    changed: tuple[str, ...]
    why: str
    asked: str
    answer: tuple[str, ...]
    kinds: tuple[KindLetter, ...]
    cautions: tuple[str, ...]
    signed: tuple[str, ...]


def compose(content: ReportContent) -> Letter:
    """The words of page 1. It composes drafts too: whether it may be issued is said by `refusals`."""
    language = content.language
    kinds = tuple(masked(kind) for kind in content.kinds)
    return Letter(
        urgent=_urgent(content),
        called="" if _poisoning_first(content) or _referral(content) else _called(content),
        replaces=word("changed", language).format(content.supersedes) if content.supersedes else "",
        changed=content.changed,
        why=content.why,
        asked=QUESTIONS[content.submission.question][language],
        answer=_answer(content, kinds),
        kinds=tuple(_kind(kind, content) for kind in kinds),
        cautions=_cautions(content, kinds),
        signed=(shown_person(content.issued_by), moment(content.issued_at, content.zone, language)),
    )


def masked(kind: KindReport) -> KindReport:
    """The kind as it may be told: one on hold loses everything that would give away its name, never its dangers."""
    if not kind.on_hold:
        return kind
    return replace(
        kind,
        name=(),
        vernacular="",
        according_to="",
        what="",
        rank="",
        certainty="",
        answer="",
        means=Means(),
        strips=(),
        opinions=(),
    )


def shown_label(kind: KindReport) -> str:
    """The finder's own label, or '' where it holds banned words: then page 1 gives the clinic number alone."""
    judged = any(banned_words(kind.finder_label, language=language) for language in BANNED)
    return "" if judged else kind.finder_label


def _urgent(content: ReportContent) -> tuple[str, ...]:
    """What cannot wait: somebody may have eaten it; a tree that somebody should look at."""
    language, lines = content.language, list[str]()
    if _poisoning_first(content):
        lines += [caution(key, language) for key in _POISONING]
    if _referral(content):
        lines.append(caution("tree_prompt_referral", language))
        lines.append(_called(content) or word("will_call", language))
    elif lines and content.call is not None:
        lines.append(_called(content))
    return tuple(lines)


def _called(content: ReportContent) -> str:
    if content.call is None:
        return ""
    when = moment(content.call.at, content.zone, content.language)
    return word("called", content.language).format(to=content.call.to, when=when, by=content.call.by)


def _answer(content: ReportContent, kinds: tuple[KindReport, ...]) -> tuple[str, ...]:
    language, question = content.language, content.submission.question
    lines = []
    if question is Question.EATING:
        lines.append(caution("eating_not_answered", language))
    elif content.does_not_answer:
        lines.append(word("not_answered", language).format(content.does_not_answer))
    if content.answer and question is not Question.EATING:
        lines.append(content.answer)
    groups = dict.fromkeys(group.group for kind in kinds for group in kind.not_excluded)
    if question in (Question.TREE, Question.HOUSE):
        lines.append(caution(question.value, language))
    if any(kind.also_not_excluded for kind in kinds):
        groups[word("further", language)] = None
    if groups:
        lines.append(word("not_excluded_line", language).format("; ".join(groups)))
    if content.answer and question is Question.EATING:
        lines.append(content.answer)
    return tuple(lines)


def _kind(kind: KindReport, content: ReportContent) -> KindLetter:
    language = content.language
    unnamed = word("not_named_yet" if kind.on_hold else "unnamed", language)
    sizes = "; ".join(
        f"{row.character} {size_in_words(*row.letter_mm, language)}"
        for row in kind.evidence
        if row.letter_mm is not None
    )
    return KindLetter(
        label=quoted(shown_label(kind), language),
        clinic_number=kind.clinic_number,
        name=kind.name or (NamePart(unnamed),),
        vernacular=f"{word('also_called', language)} {kind.vernacular}" if kind.vernacular else "",
        status="; ".join(part for part in (kind.rank, kind.certainty) if part),
        according_to=f"{word('according_to', language)} {kind.according_to}" if kind.according_to else "",
        what=kind.what,
        size=f"{word('size', language)}: {sizes}." if sizes else "",
        answer=caution("on_hold", language) if kind.on_hold else kind.answer,
        means=tuple(
            (word(whom, language), getattr(kind.means, whom)) for whom in _FOR_WHOM if getattr(kind.means, whom)
        ),
        not_excluded=_not_excluded(kind, language),
    )


def _not_excluded(kind: KindReport, language: str) -> tuple[tuple[str, str], ...]:
    """The near groups one by one; of those that fit less well the number, since the evidence pages name each."""
    lines = [(group.group, group.syndrome) for group in kind.not_excluded]
    if kind.also_not_excluded:
        count = word("further_count", language).format(len(kind.also_not_excluded))
        lines.append((word("further", language), count))
    return tuple(lines)


def _cautions(content: ReportContent, kinds: tuple[KindReport, ...]) -> tuple[str, ...]:
    question, keys = content.submission.question, list[str]()
    tree = _referral(content) or question is Question.TREE or any(kind.means.tree for kind in kinds)
    house = question is not Question.HOUSE and any(kind.means.house for kind in kinds)
    keys += ["late_syndromes"] * any(kind.not_excluded or kind.also_not_excluded for kind in kinds)
    keys += ["tree"] * (tree and question is not Question.TREE)
    keys += ["no_climbing"] * tree
    keys += ["house"] * house
    keys += [key for key in ("controlled", "inhalation", "raw") if any(getattr(kind, key) for kind in kinds)]
    keys += ["no_evidence"] * (question in (Question.DISPUTE, Question.SALE))
    keys += ["replaced"] * bool(content.supersedes)
    first = [caution(key, content.language) for key in ("not_eating", "these_pieces")]
    # Told urgently it stands at the top; otherwise here, in one paragraph.
    eaten = [] if _poisoning_first(content) else [" ".join(caution(key, content.language) for key in _POISONING)]
    return (*first, *eaten, *(caution(key, content.language) for key in keys))


def _poisoning_first(content: ReportContent) -> bool:
    return bool(content.submission.eaten_by) or content.submission.question in (Question.CHILD, Question.ANIMAL)


def _referral(content: ReportContent) -> bool:
    return any(kind.tree_referral for kind in content.kinds)


def plain_name(kind: KindReport) -> str:
    """The name as plain text, '' where none is given."""
    return joined(kind.name)
