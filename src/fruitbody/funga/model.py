"""What is known, as frozen values: characters, states, scores, taxa, hazard groups, regions.

Nothing here reads a file or knows an array; `load.py` makes these, `arrays.py` turns them into NumPy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

STAGES = ("young", "mature", "past")
"""The stages by which a funga scores; finer stage states stand for one of them."""


ABSENT_STATES = ("none", "absent", "no", "no-ring")
"""States that say that something is not there: they take nothing for granted about the part they speak of."""


NO_FUNGUS = "No fungus"
"""The genus under which things stand that are sent as mushrooms and are none."""


FROM_MEMORY = "from memory"
"""What a basis says where no source was read."""
GRADES = ("deadly", "severe", "sickening")
"""Grades of hazard groups, the worst first."""
GRAVE = ("deadly", "severe")
"""Grades that count as dangerous where a yes or no is asked."""


class CharacterKind(StrEnum):
    STATES = "states"
    """One of several states is true of a fruit body."""
    MARKS = "marks"
    """Each mark is true or not of a fruit body, several at once."""
    MEASURE = "measure"
    STAGE = "stage"


class Frequency(StrEnum):
    ABUNDANT = "abundant"
    COMMON = "common"
    OCCASIONAL = "occasional"
    RARE = "rare"


@dataclass(frozen=True, slots=True)
class State:
    """One value of a character. `lab` and `spread` (CIELAB, D65, 2°) are there for colours only."""

    id: str
    plain: str
    synonyms: tuple[str, ...] = ()
    plain_es: str = ""
    stands_for: str = ""
    lab: tuple[float, float, float] | None = None
    spread: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Misreading:
    """True state `true` is read as `read` with these chances, by observer."""

    true: str
    read: str
    finder: float
    clinic: float


@dataclass(frozen=True, slots=True)
class Character:
    """Something one can look at. Its place in the files gives the order in which evidence is told.

    `slip_*` is the chance that a reader's word is not the true state; it goes to `near` states, if the true
    state has any, else to all others by the background. `depends_on` is (parent, states that enable).
    """

    id: str
    organ: str
    group: str
    kind: CharacterKind
    plain: str
    definition: str
    how: str
    order: int
    file: str
    states: tuple[State, ...] = ()
    synonyms: tuple[str, ...] = ()
    unit: str = ""
    possible: tuple[float, float] | None = None
    needs: tuple[str, ...] = ()
    minutes: float = 1.0
    wait_hours: float = 0.0
    destroys: bool = False
    vanishes: bool = False
    if_silent: str = ""
    excludes: bool = False
    offer: bool = True
    ask_finder: bool = True
    measured_with: str = ""
    parent: str = ""
    enabled_by: tuple[str, ...] = ()
    slip_finder: float = 0.15
    slip_clinic: float = 0.05
    near: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    misread: tuple[Misreading, ...] = ()

    def state(self, state_id: str) -> State:
        """The state of this id. Raises KeyError if the character has none such."""
        for state in self.states:
            if state.id == state_id:
                return state
        raise KeyError(state_id)

    @property
    def state_ids(self) -> tuple[str, ...]:
        return tuple(state.id for state in self.states)


@dataclass(frozen=True, slots=True)
class StateScore:
    """How often each state is seen in a taxon, in words."""

    mostly: tuple[str, ...] = ()
    at_times: tuple[str, ...] = ()
    seldom: tuple[str, ...] = ()
    never: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MeasureScore:
    """`(min–) low–high (–max)` in the unit of the character; `convention` says what low and high mean."""

    low: float
    high: float
    min: float | None = None
    max: float | None = None
    convention: str = "unstated"


Score = StateScore | MeasureScore


@dataclass(frozen=True, slots=True)
class TakenFor:
    """A taxon that finders take for this one, and the characters that settle it, the best first."""

    taxon: str
    settle: tuple[str, ...]
    note: str = ""
    not_here: str = ""
    """What it would take where no character of ours settles it; '' where `settle` does."""


@dataclass(frozen=True, slots=True)
class Genus:
    name: str
    family: str
    order: str
    species: Mapping[str, int]
    file: str


@dataclass(frozen=True, slots=True)
class DeclaredGroup:
    """Congeners that our characters cannot tell apart, declared as such. members: ids of taxa or of such groups."""

    id: str
    name: str
    genus: str
    members: tuple[str, ...]
    why: str
    file: str


@dataclass(frozen=True, slots=True)
class Sentence:
    """One of the fixed sentences on what a kind means. topic: for whom; kind: means, hazard, do, do-not."""

    id: str
    topic: str
    kind: str
    words: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Taxon:
    """A kind that can be named. `scores` maps character id and stage ('' for all stages) to a score.

    what: what it is, a plain sentence or two by language. says: ids of fixed sentences. narrower: names that a split
    left of it, where it stands in the wide sense.
    """

    id: str
    name: str
    authority: str
    rank: str
    genus: str
    family: str
    according_to: str
    synonyms: tuple[str, ...]
    vernacular: Mapping[str, tuple[str, ...]]
    regions: Mapping[str, Frequency]
    months: tuple[int, ...]
    way_of_life: tuple[str, ...]
    rot: str
    hazard: tuple[str, ...]
    hazard_words: str
    perishes: str
    perishes_note: str
    what: Mapping[str, str]
    says: tuple[str, ...]
    scores: Mapping[tuple[str, str], Score]
    taken_for: tuple[TakenFor, ...]
    basis: Mapping[str, tuple[str, ...]]
    file: str
    narrower: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Onset:
    """Hours from eating to first signs as one published table gives them; None where it gives no number."""

    source: str
    text: str
    low_h: float | None
    high_h: float | None


@dataclass(frozen=True, slots=True)
class Syndrome:
    code: str
    plain: str
    plain_es: str
    organs: str
    cause: str
    onsets: tuple[Onset, ...]
    late: bool
    animals: str
    basis: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HazardGroup:
    """A dangerous group at any rank, recognised by gross characters so that kinds outside the funga are covered."""

    id: str
    plain: str
    plain_es: str
    syndrome: str
    also: tuple[str, ...]
    grade: str
    evidence: str
    who: tuple[str, ...]
    way: tuple[str, ...]
    genera: tuple[str, ...]
    basis: tuple[str, ...]
    note: str
    scores: Mapping[tuple[str, str], Score]
    never_basis: tuple[str, ...]
    settled_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Region:
    id: str
    plain: str
    members: tuple[str, ...]
    near: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Source:
    id: str
    citation: str
    kind: str
    convention: str = ""


@dataclass(frozen=True, slots=True)
class Material:
    """A kind of material or a condition at receipt, and the `needs` words that it makes invisible."""

    id: str
    plain: str
    plain_es: str
    loses: tuple[str, ...]
    says: str
    says_es: str
    hood: bool
    care: str


@dataclass(frozen=True, slots=True)
class Funga:
    """Everything known. Mappings keep the order of the files."""

    characters: Mapping[str, Character]
    taxa: Mapping[str, Taxon]
    genera: Mapping[str, Genus]
    syndromes: Mapping[str, Syndrome]
    hazard_groups: Mapping[str, HazardGroup]
    groups: Mapping[str, DeclaredGroup]
    sentences: Mapping[str, Sentence]
    regions: Mapping[str, Region]
    sources: Mapping[str, Source]
    material_kinds: Mapping[str, Material]
    conditions: Mapping[str, Material]
    background: Mapping[str, tuple[float, ...]]
    digest: str

    def members_of(self, group: DeclaredGroup) -> frozenset[str]:
        """Ids of the taxa of a declared group, those of groups within it included."""
        found: set[str] = set()
        for member in group.members:
            found |= self.members_of(self.groups[member]) if member in self.groups else {member}
        return frozenset(found)

    def region_of(self, iso: str) -> str:
        """The region that an ISO 3166-2 code (or its country) belongs to; '' if none does."""
        country = iso.split("-")[0]
        for region in self.regions.values():
            if iso in region.members or country in region.members:
                return region.id
        return ""
