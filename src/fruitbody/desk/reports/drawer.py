"""The paragraph drawer: prepared texts that a writer presses into the letter and changes there.

Each is our own, says what to do, and clears nothing. A test holds them against the banned words.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paragraph:
    """title: what is written on the drawer; about: the question it goes with, '' for any."""

    id: str
    title: str
    text: str
    about: str = ""


DRAWER: tuple[Paragraph, ...] = (
    Paragraph(
        "not-further",
        "Not named further",
        "We stop at this name because the features that part the kinds within it cannot be seen on what we received.",
    ),
    Paragraph(
        "base-missing",
        "Foot missing",
        "The stem was cut above the ground. The foot holds features that decide between groups, some of them "
        "dangerous; without it we name no further.",
    ),
    Paragraph(
        "send-more",
        "Send fresh ones",
        "If more come up, please dig out a young and an old one whole, with the foot, and send them in paper, not in "
        "plastic.",
    ),
    Paragraph(
        "photo-only",
        "Photographs only",
        "We have seen photographs only. What is named from a photograph stays open, and nothing is excluded by it.",
    ),
    Paragraph(
        "two-kinds",
        "Two kinds in one bag",
        "There was more than one kind in the bag. Each has its own paragraph below; what is said of one does not hold "
        "for the other.",
    ),
    Paragraph(
        "lawn-pick-up",
        "Lawn: pick up",
        "Mushrooms in a lawn are the fruit of threads that live on what is dead in the soil. Where children or pets "
        "play, pick up the fruit bodies as they come, wear gloves, and put them into the waste. Sprays do not reach "
        "the threads.",
        "lawn",
    ),
    Paragraph(
        "ring",
        "Lawn: fairy ring",
        "The ring grows outwards every year from threads in the soil. Where the grass dries out above it, loosen the "
        "soil and soak it; evening out water and feeding hides the rest.",
        "lawn",
    ),
    Paragraph(
        "tree-inspect",
        "Tree: inspection",
        "Please have the tree inspected on site by a qualified tree-risk assessor and show this report. Note where on "
        "the tree the fruit bodies stand, and leave them there. Missing fruit bodies do not mean missing decay.",
        "tree",
    ),
    Paragraph(
        "house-water",
        "House: find the water",
        "A fungus on timber or plaster means that water gets in or stays. Have a building professional find the source "
        "of water and the extent under floors and behind panels before anything is covered or painted.",
        "house",
    ),
    Paragraph(
        "keep-away",
        "Children and pets: keep away",
        "Keep children and pets away from the place until the fruit bodies are gone, and look there again after rain.",
        "child",
    ),
)


def drawer_for(question: str) -> tuple[Paragraph, ...]:
    """The whole drawer, what goes with the question asked on top."""
    return tuple(sorted(DRAWER, key=lambda paragraph: paragraph.about != question))
