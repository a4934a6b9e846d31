"""What a report holds, as frozen values: everything that the two parts of the paper are made of, and nothing else.

Only data stands here. `compose.py` turns it into the letter of page 1, `formal.py` into the formal items, `pdf.py` into
paper. Lengths keep the unit they were measured in; every moment carries its zone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path

from fruitbody.report.qualifiers import NamePart


class Question(StrEnum):
    """The question asked with a submission (design.md §1)."""

    CURIOUS = "curious"
    TREE = "tree"
    LAWN = "lawn"
    CHILD = "child"
    ANIMAL = "animal"
    HOUSE = "house"
    SALE = "sale"
    DISPUTE = "dispute"
    EATING = "eating"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clinic:
    """The letterhead. `accreditation`: its own words where the clinic is accredited for naming fungi, else empty."""

    name: str
    address: tuple[str, ...]
    phone: str = ""
    email: str = ""
    web: str = ""
    accreditation: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    name: str
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """Somebody to whom the report goes. `role` in the report's language: client, submitter, payer, recipient."""

    role: str
    name: str
    contact: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Submission:
    """What came in. `told` is what the client supplied, as (what, words): it stays the client's own (7.8.2.2)."""

    code: str
    received_at: datetime
    question: Question
    condition: str
    how_it_came: str
    collected_on: date | None = None
    place: str = ""
    told: tuple[tuple[str, str], ...] = ()
    eaten_by: tuple[str, ...] = ()
    """'people' and 'animals' who have, or may have, eaten of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """What it means, for whom, from the funga's texts. Empty where there is nothing to say."""

    lawn: str = ""
    tree: str = ""
    house: str = ""
    people: str = ""
    animals: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotExcluded:
    """A dangerous group that the evidence does not exclude: its plain name and the syndrome in plain words."""

    group: str
    syndrome: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A picture as bytes or a file. `alt` says what there is to see to who cannot see it; empty: view and caption."""

    image: bytes | Path
    view: str
    caption: str = ""
    alt: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One finding as told on page 2.

    organ: the part of the fruit body, told once above its findings; character: in plain words that stand alone
    ('width of the cap'). by, seen_on: in words.
    value: words, or the exact number(s) as text without unit ('61', '58 to 66'); unit: 'mm', 'µm' or ''.
    uncertainty: expanded (k = 2), in the same unit; n: how many were measured.
    letter_mm: (low, high) in millimetres when the size is to stand on page 1, in words.
    """

    organ: str
    character: str
    value: str
    by: str
    seen_on: str
    unit: str = ""
    uncertainty: float | None = None
    n: int | None = None
    letter_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSeen:
    """A character that cannot be seen on this material, and why."""

    organ: str
    character: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """An evidence strip: the range of the taxon named as a bar, the finding as a mark; all in `unit`.

    low, high: the usual range; least, most: the extremes, where known. found: (low, high) of the finding, equal for
    one value; uncertainty: expanded (k = 2).
    """

    character: str
    unit: str
    low: float
    high: float
    found: tuple[float, float]
    least: float | None = None
    most: float | None = None
    uncertainty: float | None = None
    n: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """An opinion or interpretation, marked as such (7.8.7): by whom, and on what it rests."""

    text: str
    by: Person
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KindReport:
    """One kind in the bag.

    name: parts from `qualifiers.compose_name`; empty when the kind is not named.
    rank, certainty: plain words ('named to genus', 'fits well; not confirmed under the microscope').
    answer: the question's answer for this kind, where it differs from the answer for all.
    determined_by: who gave the name; an issue is refused without.
    tree_referral: an agent of root, butt or brittle decay, where the question or the site makes it matter.
    on_hold: another laboratory is asked; the name is masked. controlled: contains substances controlled by law.
    inhalation: dusty (puffballs, mould). raw: known to make people ill when raw.
    """

    finder_label: str
    clinic_number: str
    name: tuple[NamePart, ...]
    rank: str
    certainty: str
    determined_by: Person | None
    vernacular: str = ""
    according_to: str = ""
    what: str = ""
    """What it is, in one or two plain sentences from the funga."""
    determined_on: date | None = None
    answer: str = ""
    means: Means = field(default_factory=Means)
    not_excluded: tuple[NotExcluded, ...] = ()
    also_not_excluded: tuple[str, ...] = ()
    photos: tuple[Photo, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    not_seen: tuple[NotSeen, ...] = ()
    strips: tuple[Strip, ...] = ()
    opinions: tuple[Opinion, ...] = ()
    tree_referral: bool = False
    on_hold: bool = False
    controlled: bool = False
    inhalation: bool = False
    raw: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """A telephone call about this report, already made: when, to whom, by whom."""

    at: datetime
    to: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Formal:
    """The items of ISO/IEC 17025:2017, 7.8.2.1 that do not follow from the rest (letters as there).

    title: a; location: c, empty = at the clinic; methods: f; performed: i, first and last day;
    sampling: k, empty = the finder chose the pieces; deviations: n; external: p, results of other providers.
    """

    methods: tuple[str, ...]
    performed: tuple[date, date]
    title: str = ""
    location: str = ""
    sampling: str = ""
    deviations: tuple[str, ...] = ()
    external: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportContent:
    """A whole report, ready to be checked (`refusals`), composed (`compose`) and printed (`report_pdf`).

    language: 'en' or 'es'. answer: the answer to the question asked; does_not_answer: why the clinic does not.
    supersedes, changed, why: from version 2 on, the version replaced, what changed and why.
    zone: the name of the zone of every time and date. listed_names: scientific and vernacular names, beside those of
    the kinds, that stand in texts as names only. call: the call already made; without it a referral promises one.
    """

    clinic: Clinic
    code: str
    issued_at: datetime
    issued_by: Person
    submission: Submission
    client: Party
    kinds: tuple[KindReport, ...]
    formal: Formal
    zone: str
    version: int = 1
    language: str = "en"
    answer: str = ""
    does_not_answer: str = ""
    recipients: tuple[Party, ...] = ()
    supersedes: str = ""
    changed: tuple[str, ...] = ()
    why: str = ""
    call: Call | None = None
    listed_names: tuple[str, ...] = ()
