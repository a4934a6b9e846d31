"""Which preparation a character waits for, and for how long. Pure, from the funga."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from fruitbody.funga.model import Character

KINDS = {
    "print": "spore print",
    "drying": "drying cap",
    "mount": "mount for the microscope",
    "culture": "culture",
    "sequence": "sequence sent out",
}
HOURS = {"print": 8.0, "drying": 1.0, "mount": 0.5, "culture": 14 * 24.0, "sequence": 14 * 24.0}
"""Common practice, where no character says how long."""


@dataclass(frozen=True, slots=True)
class Laying:
    """what: a key of KINDS; wait: until it can be read."""

    what: str
    wait: timedelta

    @property
    def words(self) -> str:
        return KINDS[self.what]


def preparation_for(character: Character) -> Laying | None:
    """The preparation that makes a character visible; None where one only has to look."""
    if "deposit" in character.needs:
        what = "print"
    elif "microscope" in character.needs:
        what = "mount"
    elif character.wait_hours:
        what = "drying"
    else:
        return None
    return Laying(what, timedelta(hours=character.wait_hours or HOURS[what]))
