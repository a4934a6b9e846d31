"""How to photograph, dig out, pack and post a mushroom so that it can still be named: plain data for pages and sheets.

Directions of practice.md B3, B5, B8, B11 of this project and common practice of mushroom desks; the words are ours.
Nothing here says how to tell one kind from another.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

MONDAY, WEDNESDAY = 0, 2
FURTHEST_DAYS: Final = 7


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do (or leave), and why. `danger` marks what stands in a ruled box."""

    id: str
    do: str
    why: str = ""
    danger: bool = False


BEFORE_PICKING: Final = (
    Advice(
        "photo-place", "Photograph it where it grows, and the trees around it.", "The place is half of the evidence."
    ),
    Advice("photo-sides", "Photograph it from above, from the side, from below, and the foot.", ""),
    Advice(
        "photo-scale", "Lay a coin or a ruler beside it, on the same level.", "Then we can measure it in the picture."
    ),
    Advice("photo-light", "Use daylight without flash, and hold the phone still.", "Colours are false under a lamp."),
    Advice(
        "dig",
        "Dig it out whole with a knife or spoon, with everything below the ground.",
        "We need every part, also what is below the ground.",
    ),
    Advice("ages", "Take two or three of different ages, if there are more.", ""),
)

ON_TREES: Final = (
    Advice("no-climb", "Do not climb. Do not cut into the tree.", "", danger=True),
    Advice("tree-photo", "Photograph the whole tree with the fungus on it, and note which tree it is.", ""),
)

PACKING: Final = (
    Advice(
        "paper", "Wrap each kind in paper: a paper bag, newspaper, kitchen paper.", "In plastic it rots within a day."
    ),
    Advice("foot", "Keep the whole foot.", "Cut off above the ground, many kinds cannot be named."),
    Advice("brush", "Brush the soil off. Do not wash it.", "Water spoils the skin and the spores."),
    Advice("soil", "Leave soil behind.", "Soil may not travel, and it dirties everything."),
    Advice("apart", "One kind to a bag, with its own slip inside the bag.", "Then nothing is mixed up."),
    Advice("box", "Put the bags into a firm box with crumpled paper.", "Envelopes are crushed."),
    Advice("cool", "Keep it in the refrigerator until you post it, away from food, marked “do not eat”.", ""),
    Advice("days", "Post it Monday to Wednesday, so that it does not lie over a weekend.", ""),
)

CARE: Final = (
    Advice("sniff", "Do not sniff puffballs or mouldy ones.", "Their dust can make lungs ill.", danger=True),
    Advice(
        "hands",
        "Touching is not the danger. Wash your hands; keep it out of the kitchen and away from children and pets.",
        "",
    ),
    Advice("child", "Under 16? Ask an adult to send it.", ""),
    Advice("land", "Collect only where you may; parks and reserves may forbid it, and some kinds are protected.", ""),
    Advice("firewood", "Do not move firewood.", "Pests travel with it."),
)

FROM_ELSEWHERE: Final = Advice(
    "elsewhere",
    "Sending from another state or country? Write to us first. Do not post it.",
    "Plant pests need a permit to travel.",
)
EATEN_BY_SOMEBODY: Final = Advice(
    "eaten",
    "Do not post it. Keep whole mushrooms from the same place, in paper, in the refrigerator, marked “do not eat”.",
    "The poison centre or the hospital may need them.",
    danger=True,
)


def before_picking(*, on_tree: bool) -> tuple[Advice, ...]:
    """What to do while it still stands where it grew."""
    return BEFORE_PICKING[:4] + ON_TREES if on_tree else BEFORE_PICKING


def packing() -> tuple[Advice, ...]:
    """From the hand to the box, in order."""
    return PACKING


def care() -> tuple[Advice, ...]:
    """What goes for everybody who handles or collects."""
    return CARE


def from_elsewhere(region: str, clinic_region: str) -> Advice | None:
    """The advice for a parcel from another state or country; None within the clinic's own or where it is not known.

    region, clinic_region: ISO 3166-2 codes such as US-NY, or an ISO 3166-1 country code.
    """
    return FROM_ELSEWHERE if region and region != clinic_region else None


def may_post_on(day: date) -> bool:
    """Monday to Wednesday: later in the week a parcel lies over the weekend (common practice)."""
    return MONDAY <= day.weekday() <= WEDNESDAY


def next_posting_day(today: date) -> date:
    """Today, if it may be posted today; else the next day on which it may."""
    return next(day for day in (today + timedelta(days=n) for n in range(FURTHEST_DAYS)) if may_post_on(day))


def posting_words(today: date) -> str:
    """When to post, said from today."""
    day = next_posting_day(today)
    if day == today:
        return "Today is a good day to post it."
    return f"Post it on {day:%A}, {day.day} {day:%B}. Until then keep it in the refrigerator, in paper."
