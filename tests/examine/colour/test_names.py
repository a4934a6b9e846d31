"""ISCC–NBS and Ridgway names against the dictionaries of Debian's libcolor-library-perl (values of NBS SP 440)."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from fruitbody.examine.colour.ciede2000 import difference
from fruitbody.examine.colour.names import classes, find_ridgway, nearest_classes, nearest_ridgway, ridgway
from fruitbody.examine.colour.spaces import lab_of_srgb, srgb_of_lab

DICTIONARY = Path("/usr/share/perl5/Color/Library/Dictionary")
"""Where the Debian package puts them; tools/system-packages installs it."""
ENTRY = re.compile(r"""\['nbs-iscc(?:-\w+)?:([^']*)','[^']*',(?:'|")(.*?)(?:'|"),\[[\d,]+\],'([0-9a-f]{6})'""")
MISPRINTS = {"deep yellowish pink": "e66721", "strong yellowish pink": "f99379"}
"""Of the package's main list: 95 entries in its other eleven lists give 27 and 26 otherwise, in one digit each."""


def entries(name: str) -> list[tuple[str, str, str]]:
    """(id, title, code) of one dictionary."""
    found = ENTRY.findall((DICTIONARY / name).read_text(encoding="latin-1"))
    assert found, "Install libcolor-library-perl (tools/system-packages) and try again."
    return found


@cache
def codes_by_number() -> dict[int, Counter[str]]:
    """How often each class number goes with each code, over the eleven dictionaries that number their entries."""
    found: dict[int, Counter[str]] = defaultdict(Counter)
    for path in sorted((DICTIONARY / "NBS_ISCC").glob("*.pm")):
        for entry, _, code in entries(f"NBS_ISCC/{path.name}"):
            match = re.search(r"\.(\d+)\D{0,3}$", entry)
            if match:
                found[int(match[1])][code] += 1
    return found


def code(lab: tuple[float, float, float]) -> str:
    return bytes(srgb_of_lab(lab)).hex()


def test_the_267_names_are_those_of_the_dictionary() -> None:
    assert {one.level3 for one in classes()} == {title.lower() for _, title, _ in entries("NBS_ISCC.pm")}


def test_the_centroids_are_those_of_the_dictionary_but_for_its_two_misprints() -> None:
    theirs = {title.lower(): given for _, title, given in entries("NBS_ISCC.pm")}
    assert {one.level3: theirs[one.level3] for one in classes() if code(one.lab) != theirs[one.level3]} == MISPRINTS


def test_every_number_has_its_centroid_in_the_other_dictionaries_too() -> None:
    """Most entries of a number; a few single ones are misprinted there."""
    assert [n.number for n in classes() if codes_by_number()[n.number].most_common(1)[0][0] != code(n.lab)] == []


def test_every_ridgway_name_lies_in_the_classes_of_the_dictionary() -> None:
    theirs: dict[str, set[int]] = defaultdict(set)
    for entry, title, _ in entries("NBS_ISCC/R.pm"):
        match = re.search(r"\.(\d+)\D{0,3}$", entry)
        assert match
        name = find_ridgway(OTHERWISE.get(title.strip(), title.replace("\\", "")))
        assert name is not None, title
        theirs[name.name].add(int(match[1]))
    assert {name.name: set(name.classes) for name in ridgway() if name.classes} == theirs


OTHERWISE = {
    "artemesia green": "artemisia green",
    "buff-pink or buff pink": "buff-pink",
    "buff-yellow or buff yellow": "buff-yellow",
    "chrysopraise green": "chrysoprase green",
}
"""Spelt otherwise in the dictionary than by Ridgway."""


def test_there_are_13_names_then_29_then_267_each_within_one_above() -> None:
    assert [len({getattr(one, level) for one in classes()}) for level in ("level1", "level2", "level3")] == [
        13,
        29,
        267,
    ]
    assert len({(one.level1, one.level2) for one in classes()}) == 29
    assert [one.number for one in classes()] == list(range(1, 268))


@pytest.mark.parametrize(
    ("level2", "level1"),
    [
        ("yellowish pink", "pink"),
        ("olive brown", "olive"),
        ("orange yellow", "yellow"),
        ("violet", "purple"),
        ("olive green", "olive"),
    ],
)
def test_level_two_lies_where_sp_440_puts_it(level2: str, level1: str) -> None:
    """SP 440, The Universal Color Language, pages A-14 to A-16."""
    assert {one.level1 for one in classes() if one.level2 == level2} == {level1}


def test_a_centroid_bears_its_own_name() -> None:
    for one in classes():
        (found, far), *_ = nearest_classes(one.lab)
        assert (found, far) == (one, 0.0)


def test_neighbours_come_nearest_first() -> None:
    far = [away for _, away in nearest_classes((55, 19, 42), n=267)]
    assert far == sorted(far)
    assert len(far) == 267


@pytest.mark.parametrize(
    ("srgb", "level1"),
    [
        ((255, 255, 255), "white"),
        ((0, 0, 0), "black"),
        ((128, 128, 128), "gray"),
        ((90, 60, 40), "brown"),
        ((60, 90, 190), "blue"),
    ],
)
def test_plain_colours_have_plain_names(srgb: tuple[int, int, int], level1: str) -> None:
    assert nearest_classes(lab_of_srgb(srgb))[0][0].level1 == level1


def test_ridgways_plates_hold_the_places_he_gives() -> None:
    """By a rewriting of the book (docs/sources.md): 53 plates of 21 places, and four more on the last."""
    places = [place for name in ridgway() for place in name.places]
    plates = Counter(place.split()[0] for place in places)
    assert len(places) == len(set(places)) == 1117
    assert len(plates) == 53
    assert {n for plate, n in plates.items() if plate != "LIII"} == {21}
    assert plates["LIII"] == 25


def test_cinnamon_stands_on_plate_29() -> None:
    name = find_ridgway("Cinnamon")
    assert name is not None
    assert (name.places, name.plates) == (("XXIX 15''",), ("XXIX",))


def test_names_equally_near_are_all_given() -> None:
    """Four grey names lie in class 265 alone and cannot be told apart."""
    grey = nearest_ridgway(classes()[264].lab)
    far = [away for _, away in grey]
    assert len(grey) > 3
    assert set(far) == {0.0}


@pytest.mark.parametrize("text", ["Payne's grey", "paynes gray", "PAYNE'S GRAY", "yellow ochre", "Rose colour"])
def test_a_name_is_found_in_other_spellings(text: str) -> None:
    assert find_ridgway(text) is not None


def test_a_name_lies_at_the_mean_of_its_classes() -> None:
    name = find_ridgway("cinnamon")
    assert name is not None
    centre = np.mean([classes()[n - 1].lab for n in name.classes], axis=0)
    assert float(difference(centre, centre)) == 0
    assert nearest_ridgway(centre)[0][0] == name
