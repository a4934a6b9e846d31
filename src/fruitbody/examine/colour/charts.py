"""Codes of colour charts, typed: kept as text with the edition, checked for form, never turned into a measurement.

A code says that a person held the thing beside a chart. So it stays what was typed (put into one spelling), and only a
chart whose steps have a known counterpart among the funga's print colours leads to states of a finding.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from fruitbody.examine.colour.names import find_ridgway, ridgway
from fruitbody.examine.colour.spaces import ColourError
from fruitbody.funga.terms import nearest

CRAWSHAY: Final = tuple("ABCDEFGH")
ROMAGNESI: Final = ("Ia", "Ib", "IIa", "IIb", "IIc", "IIIa", "IIIb", "IIIc", "IVa", "IVb", "IVc", "IVd", "IVe")
"""The steps of a thick Russula print from white to deep yellow (from memory)."""

_DEPOSIT: Final[dict[str, dict[str, tuple[str, ...]]]] = {
    "crawshay": {
        **dict.fromkeys("AB", ("white",)),
        **dict.fromkeys("CD", ("cream",)),
        "E": ("cream", "ochre"),
        **dict.fromkeys("FGH", ("ochre",)),
    },
    "romagnesi": {
        step: {"I": ("white",), "II": ("cream",), "III": ("ochre",), "IV": ("ochre",)}[step[:-1]] for step in ROMAGNESI
    },
}
"""Print colours of the funga by step; from memory. Its ochre reaches to yellow, so the last two groups share it."""


@dataclass(frozen=True, slots=True)
class Chart:
    """id: as typed in commands; plain: the chart's name; editions: the first is meant where there is only one;
    example: a code that is right."""

    id: str
    plain: str
    editions: tuple[str, ...]
    example: str


@dataclass(frozen=True, slots=True)
class Code:
    """A typed code. steps: first and last of an ordered scale, equal for one step, empty elsewhere; deposit: states of
    `deposit_colour` that it leaves open, one of them, with `basis`; empty where no counterpart is known."""

    chart: str
    edition: str
    text: str
    steps: tuple[str, ...] = ()
    deposit: tuple[str, ...] = ()
    basis: str = ""

    @property
    def in_words(self) -> str:
        """As it stands in a report: the code, the chart, and that nobody measured."""
        return f"{self.text} ({self.edition}; code typed, not measured)"


CHARTS: Final = {
    chart.id: chart
    for chart in (
        Chart(
            "ridgway", "Ridgway, Color Standards", ("Ridgway 1912", "Ridgway 1886"), "XXIX 15''k, or a name: cinnamon"
        ),
        Chart(
            "methuen",
            "Methuen Handbook of Colour",
            ("Kornerup & Wanscher 1978", "Kornerup & Wanscher 1967", "Kornerup & Wanscher 1963"),
            "6D5, or a range: 6D5-7",
        ),
        Chart(
            "munsell", "Munsell", ("Munsell Book of Color", "Munsell Soil Color Charts"), "10YR 6/4, or a grey: N 5/"
        ),
        Chart("crawshay", "Crawshay's scale of Russula prints", ("Crawshay 1930",), "D, or a range: C-D"),
        Chart("romagnesi", "Romagnesi's scale of Russula prints", ("Romagnesi 1967",), "IIIb, or a range: IIIb-IIIc"),
    )
}


def parse_code(chart: str, text: str, edition: str = "") -> Code:
    """Check a typed code and put it into one spelling.

    chart: a key of CHARTS, or any other chart's name, whose code is kept as typed; edition: which printing was held,
    free text where the chart is not one of ours. Raises ColourError for a code the chart does not have, or a missing
    edition.
    """
    written = " ".join(text.split())
    if not written:
        raise ColourError("The code is empty. Type it as it stands beside the colour in the chart.")
    known = CHARTS.get(chart.strip().lower())
    if known is None:
        return _other(chart, written, edition)
    printing = _edition(known, edition)
    if printing == "Ridgway 1886":
        return Code(known.id, printing, written)  # other names, other plates: kept as typed
    return _READERS[known.id](known, written, printing)


def _other(chart: str, text: str, edition: str) -> Code:
    if not chart.strip() or not edition.strip():
        raise ColourError(
            f"Which chart was it, and which edition? We know {', '.join(CHARTS)}; of another type name and edition."
        )
    return Code(chart.strip(), f"{chart.strip()}, {edition.strip()}", text)


def _edition(chart: Chart, edition: str) -> str:
    plain = edition.strip()
    if not plain and len(chart.editions) == 1:
        return chart.editions[0]
    for one in chart.editions:
        if plain and plain.lower() in one.lower():
            return one
    close = f"“{plain}” is none of its editions" if plain else "its editions differ"
    raise ColourError(f"{chart.plain}: {close}. Name the edition: {', '.join(chart.editions)}.")


def _bad(chart: Chart, text: str, why: str = "") -> ColourError:
    return ColourError(f"“{text}” is no code of {chart.plain}{why}. Type it like this: {chart.example}.")


def _ridgway(chart: Chart, text: str, edition: str) -> Code:
    """A name of 1912, or plate and place on it. Primes may be typed as ' or ″ and the like."""
    name = find_ridgway(text)
    if name is not None:
        return Code(chart.id, edition, name.name)
    place = text.replace("″", "''").replace('"', "''").replace("‴", "'''").replace("′", "'").replace("’", "'")
    match = re.fullmatch(r"(?:plate |pl\. ?)?([IVXL]+)[ ,]+(.+)", place, re.IGNORECASE)
    if match is not None:
        wanted = f"{match[1].upper()} {match[2].replace(' ', '').replace('CG', 'CG ').replace('NG', 'NG ')}".strip()
        if any(wanted == one for entry in ridgway() for one in entry.places):
            return Code(chart.id, edition, wanted)
        raise _bad(chart, text, ": no plate of 1912 has it")
    close = nearest(text.lower(), [entry.name for entry in ridgway()])
    raise _bad(chart, text, f"; near it lies {close[0]}" if close else "")


def _methuen(chart: Chart, text: str, edition: str) -> Code:
    """Plate 1..30, tone A..F, intensity 1..8; ends of a range joined by a hyphen."""
    tight = text.upper().replace(" ", "").replace("–", "-")
    match = re.fullmatch(r"(\d+)(?:-(\d+))?([A-F])(?:-([A-F]))?([1-8])(?:-([1-8]))?", tight)
    if match is None:
        raise _bad(chart, text)
    plates = [int(match[1]), int(match[2] or match[1])]
    if not 1 <= plates[0] <= plates[1] <= 30:
        raise _bad(chart, text, ": plates run from 1 to 30")
    if (match[4] or match[3]) < match[3] or (match[6] or match[5]) < match[5]:
        raise _bad(chart, text, ": the range runs backwards")
    return Code(chart.id, edition, tight)


def _munsell(chart: Chart, text: str, edition: str) -> Code:
    """Hue number and letters, value, chroma; or N and value."""
    tight = text.upper().replace(" ", "")
    grey = re.fullmatch(r"N(\d+(?:\.\d+)?)/?(?:0(?:\.0)?)?", tight)
    if grey is not None and float(grey[1]) <= 10:
        return Code(chart.id, edition, f"N {grey[1]}/")
    match = re.fullmatch(r"(\d+(?:\.\d+)?)(YR|GY|BG|PB|RP|R|Y|G|B|P)(\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)", tight)
    if match is None:
        raise _bad(chart, text)
    hue, value, chroma = float(match[1]), float(match[3]), float(match[4])
    if not 0 < hue <= 10:
        raise _bad(chart, text, ": the number before the hue runs from above 0 to 10")
    if value > 10:
        raise _bad(chart, text, ": value runs from 0 to 10")
    if chroma > 40:
        raise _bad(chart, text, ": no colour has a chroma above 40")
    return Code(chart.id, edition, f"{match[1]}{match[2]} {match[3]}/{match[4]}")


def _crawshay(chart: Chart, text: str, edition: str) -> Code:
    return _step(chart, text, (edition, CRAWSHAY, str.upper))


def _romagnesi(chart: Chart, text: str, edition: str) -> Code:
    return _step(chart, text, (edition, ROMAGNESI, lambda part: part[:-1].upper() + part[-1:].lower()))


def _step(chart: Chart, text: str, scale: tuple[str, tuple[str, ...], Callable[[str], str]]) -> Code:
    """A step of an ordered scale, or two joined by a hyphen."""
    edition, order, spell = scale
    ends = [spell(part.strip()) for part in re.split(r"[-–]", text)]
    if len(ends) > 2 or any(end not in order for end in ends):
        raise _bad(chart, text, f": its steps are {order[0]} to {order[-1]}")
    first, last = ends[0], ends[-1]
    low, high = order.index(first), order.index(last)
    if low > high:
        raise _bad(chart, text, ": the range runs backwards")
    states = tuple(dict.fromkeys(state for step in order[low : high + 1] for state in _DEPOSIT[chart.id][step]))
    typed = first if low == high else f"{first}-{last}"
    return Code(chart.id, edition, typed, (first, last), states, "from memory")


_READERS: Final[dict[str, Callable[[Chart, str, str], Code]]] = {
    "ridgway": _ridgway,
    "methuen": _methuen,
    "munsell": _munsell,
    "crawshay": _crawshay,
    "romagnesi": _romagnesi,
}
