"""A submission as told by its finder, before it becomes rows: what the form hands to `actions.submit`."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from fruitbody.examine.finding import Finding


@dataclass(frozen=True, slots=True)
class PartyTold:
    """A person in one of the four roles; phone in E.164."""

    role: str
    name: str
    email: str = ""
    phone: str = ""
    organisation: str = ""
    address: str = ""
    way: str = "e-mail"


@dataclass(frozen=True, slots=True)
class KindTold:
    """One kind under the finder's label. photos: ids of photos that came under the same form key."""

    label: str
    findings: tuple[Finding, ...] = ()
    note: str = ""
    photos: tuple[int, ...] = ()
    reference: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where and when it was found. Degrees as the phone gave them (WGS 84), uncertainty in metres."""

    region: str = ""
    county: str = ""
    words: str = ""
    found_on: date | None = None
    latitude: float | None = None
    longitude: float | None = None
    uncertainty_m: float | None = None


@dataclass(frozen=True, slots=True)
class Announcement:
    form_key: str
    eaten: str
    question: str
    place: Place
    parties: tuple[PartyTold, ...]
    kinds: tuple[KindTold, ...]
    picked: bool | None = None
    eaten_note: str = ""
    question_note: str = ""
    note: str = ""
    consent_photos: bool = False
    consent_place: bool = False
    language: str = field(default="en")
