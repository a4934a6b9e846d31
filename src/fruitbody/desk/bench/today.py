"""In which order the open kinds of the clinic are looked at, and why each stands where it stands. Pure.

A person's flag comes first, then what has to be said by voice, what is promised, danger, what perishes, what is ready,
and last the age. Each criterion gives a place (smaller first) and words; the words of all that apply stand in the row.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import IntEnum

FLAGS = ("eaten", "child", "call", "urgent")
"""In this order; a flag in other words comes after them."""
FLAG_WORDS = {
    "eaten": "Flag: it may have been eaten.",
    "child": "Flag: a child is concerned.",
    "call": "Flag: somebody asked to be called.",
    "urgent": "Flag: urgent.",
}
PERISHES_IN = {"hours": timedelta(hours=6), "a day": timedelta(days=1)}
"""From receipt; by the words of the funga for how a taxon keeps (common practice)."""
FRESH_KEEPS = timedelta(days=2)
"""Fresh material in paper and cool, until its finer marks are gone (common practice)."""
PROMISE_NEAR = timedelta(days=1)


class Danger(IntEnum):
    """What is known about dangerous groups, the more pressing first."""

    LISTED = 0
    NOT_LOOKED = 1
    NOT_NAMED = 2
    NAMED = 3


DANGER_WORDS = {
    Danger.LISTED: "A deadly group stands first among what is not excluded: {group}.",
    Danger.NOT_LOOKED: "Nobody has looked yet, so no deadly group is excluded.",
    Danger.NOT_NAMED: "It has no name yet, so deadly groups may stand.",
}


@dataclass(frozen=True, slots=True)
class DueTask:
    words: str
    due_at: datetime
    needs_voice: bool


@dataclass(frozen=True, slots=True)
class Ready:
    """A preparation that is not finished: what it is and when it can be read."""

    what: str
    due_at: datetime


@dataclass(frozen=True, slots=True)
class Waiting:
    """The facts of one open kind (or of a submission that has not arrived). All moments with their zone."""

    key: str
    announced_at: datetime
    received_at: datetime | None = None
    flag: str = ""
    flag_note: str = ""
    tasks: tuple[DueTask, ...] = ()
    promised_for: date | None = None
    danger: Danger = Danger.NAMED
    danger_group: str = ""
    fresh: bool = False
    keeps: str = ""
    preparations: tuple[Ready, ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """One criterion applied: its place (smaller comes first) and its words, '' where it does not apply."""

    place: tuple[float, ...]
    words: str = ""


@dataclass(frozen=True, slots=True)
class Placed:
    """A row in its place, with the reasons in words, the one that decided first."""

    waiting: Waiting
    place: tuple[tuple[float, ...], ...]
    why: tuple[str, ...]


def in_order(rows: Iterable[Waiting], now: datetime) -> list[Placed]:
    """All rows, the most pressing first. The same rows in any order give the same list."""
    return sorted((placed(row, now) for row in rows), key=lambda p: (p.place, p.waiting.key))


def placed(row: Waiting, now: datetime) -> Placed:
    reasons = (
        _flag(row),
        _task(row, now),
        _promise(row, now),
        _danger(row),
        _perishing(row, now),
        _preparation(row, now),
        _age(row, now),
    )
    return Placed(row, tuple(r.place for r in reasons), tuple(r.words for r in reasons if r.words))


def _flag(row: Waiting) -> Reason:
    if not row.flag:
        return Reason((len(FLAGS) + 1,))
    place = FLAGS.index(row.flag) if row.flag in FLAGS else len(FLAGS)
    words = FLAG_WORDS.get(row.flag, f"Flag: {row.flag}.")
    return Reason((place,), f"{words} {row.flag_note}".strip())


def _task(row: Waiting, now: datetime) -> Reason:
    """A task counts from the moment it is due; what needs a voice comes before what does not."""
    due = sorted(
        (t for t in row.tasks if t.due_at <= now or t.needs_voice), key=lambda t: (not t.needs_voice, t.due_at)
    )
    if not due:
        return Reason((2, 0))
    first = due[0]
    words = f"{'To be said by voice' if first.needs_voice else 'To be done'}{_since(first.due_at, now)}: {first.words}"
    return Reason((0 if first.needs_voice else 1, first.due_at.timestamp()), words)


def _promise(row: Waiting, now: datetime) -> Reason:
    if row.promised_for is None or row.promised_for > (now + PROMISE_NEAR).date():
        return Reason((1, 0))
    days = (now.date() - row.promised_for).days
    when = (
        "for tomorrow"
        if days < 0
        else "for today"
        if days == 0
        else f"for {row.promised_for:%-d %B}, {in_days(days)} ago"
    )
    return Reason((0, row.promised_for.toordinal()), f"The report was promised {when}.")


def _danger(row: Waiting) -> Reason:
    words = DANGER_WORDS.get(row.danger, "") if row.received_at else ""
    return Reason((row.danger if row.received_at else Danger.NAMED,), words.format(group=row.danger_group))


def spoils_at(row: Waiting) -> datetime | None:
    """When the finer marks are gone: by the taxon's own keeping, else by fresh material's."""
    if row.received_at is None or not row.fresh or row.keeps == "keeps":
        return None
    return row.received_at + PERISHES_IN.get(row.keeps, FRESH_KEEPS)


def _perishing(row: Waiting, now: datetime) -> Reason:
    gone = spoils_at(row)
    if gone is None:
        return Reason((1, 0))
    hours = (gone - now).total_seconds() / 3600
    kind = f"It keeps for {row.keeps}" if row.keeps in PERISHES_IN else "It is fresh"
    if hours <= 0:
        return Reason((0, gone.timestamp()), f"{kind}: its finer marks may be gone already.")
    return Reason((0, gone.timestamp()), f"{kind}: look within {_in_hours(hours)}.")


def _preparation(row: Waiting, now: datetime) -> Reason:
    ready = sorted((p for p in row.preparations if p.due_at <= now), key=lambda p: p.due_at)
    if not ready:
        return Reason((1, 0))
    names = ", ".join(dict.fromkeys(p.what for p in ready))
    return Reason((0, ready[0].due_at.timestamp()), f"Ready to be read: {names}.")


def _age(row: Waiting, now: datetime) -> Reason:
    since = row.received_at or row.announced_at
    days = max((now - since).days, 0)
    what = "here" if row.received_at else "announced"
    return Reason(
        (since.timestamp(),),
        f"It has been {what} since today." if days == 0 else f"It has been {what} for {in_days(days)}.",
    )


def _since(due: datetime, now: datetime) -> str:
    late = now - due
    if late < timedelta(0):
        return ""
    return f", due {_in_hours(max(late.total_seconds() / 3600, 0))} ago"


def _in_hours(hours: float) -> str:
    if hours < 1:
        return "less than an hour"
    return f"{hours:.0f} hour{'s' if round(hours) != 1 else ''}" if hours < 48 else in_days(int(hours // 24))


WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def in_words(number: int) -> str:
    """A count as people write it: words up to twelve, figures above."""
    return WORDS[number] if 0 <= number < len(WORDS) else f"{number}"


def in_days(days: int) -> str:
    return "one day" if days == 1 else f"{in_words(days)} days"
