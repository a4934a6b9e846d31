"""What somebody at the desk sees before anything is written down: a bag, its kinds, whether it may be opened. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from fruitbody.desk.bench.errors import ReceivingError, ShutError
from fruitbody.funga.model import Funga
from fruitbody.handling.guidance import from_elsewhere

FRESH_WHOLE = "fresh-whole"
LONGEST_LABEL = 40
HOOD_FIRST = "Put it under the hood before it is opened, and tick that it lies there."
SHUT_WORDS = (
    "This parcel comes from another state or country, so it may not be opened yet. Leave it shut, keep it apart, "
    "and fetch the supervisor."
)


@dataclass(frozen=True, slots=True)
class KindSeen:
    """A kind in the bag: an announced one by its id, or a new one under its label. Words are ids of the funga."""

    label: str
    kind_id: int | None = None
    material: str = FRESH_WHOLE
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BagSeen:
    """A bag as it lies on the table. form_key: made by the form, kept once. in_hood: it lies under the hood."""

    form_key: str
    kinds: tuple[KindSeen, ...]
    conditions: tuple[str, ...] = ()
    label: str = ""
    place: str = ""
    note: str = ""
    in_hood: bool = False
    origin_region: str = ""


@dataclass(frozen=True, slots=True)
class Unannounced:
    """Something that came without a form. origin: how it came (a value of Origin)."""

    bag: BagSeen
    origin: str


@dataclass(frozen=True, slots=True)
class BoxSeen:
    """A parcel from outside. origin_region: where it was posted, ISO 3166-2 or a country; '' where nobody knows."""

    form_key: str
    origin_region: str
    carrier: str = ""
    note: str = ""


def is_covered(origin_region: str, clinic_region: str) -> bool:
    """Whether a parcel from there may be opened without asking: only from the clinic's own state."""
    return bool(origin_region) and from_elsewhere(origin_region, clinic_region) is None


def needs_hood(funga: Funga, seen: BagSeen) -> bool:
    """Whether a condition or a kind of material in this bag asks for the hood."""
    conditions = {*seen.conditions, *(c for kind in seen.kinds for c in kind.conditions)}
    entries = [funga.conditions.get(c) for c in conditions] + [funga.material_kinds.get(k.material) for k in seen.kinds]
    return any(entry is not None and entry.hood for entry in entries)


def check_bag(funga: Funga, seen: BagSeen) -> None:
    """Raises ReceivingError for a bag without a kind, words nobody knows, or dust that is not under the hood."""
    if not seen.kinds:
        raise ReceivingError("Tick at least one kind that lies in the bag, or write a label for a new one.")
    for kind in seen.kinds:
        if kind.material not in funga.material_kinds:
            raise ReceivingError(f"“{kind.material}” is no kind of material. Choose one of the list.")
        if not kind.label.strip() or len(kind.label) > LONGEST_LABEL:
            raise ReceivingError(f"A label has 1 to {LONGEST_LABEL} letters. Shorten it, or write one.")
    conditions = {*seen.conditions, *(c for kind in seen.kinds for c in kind.conditions)}
    if stray := sorted(conditions - set(funga.conditions)):
        raise ReceivingError(f"“{stray[0]}” is no condition. Choose from the list.")
    if needs_hood(funga, seen) and not seen.in_hood:
        raise ReceivingError(HOOD_FIRST)


def check_origin(origin_region: str, clinic_region: str) -> None:
    """Raises ShutError for a parcel from elsewhere, or from nobody knows where."""
    if not origin_region:
        raise ShutError("Say where the parcel was posted; until that is known it stays shut.")
    if not is_covered(origin_region, clinic_region):
        raise ShutError(SHUT_WORDS)
