"""Shape classes by Q, length divided by width, as in Bas 1969 (Persoonia 5; bounds as commonly quoted, from memory).

The classes are meant for ellipsoid spores and for the range of Q, not for its mean. A spindle, an almond or an angular
spore needs its own word first, and then gets no class of this list.
"""

from __future__ import annotations

from typing import Final

BOUNDS: Final = (
    ("globose", 1.05),
    ("subglobose", 1.15),
    ("broadly ellipsoid", 1.3),
    ("ellipsoid", 1.6),
    ("elongate", 2.0),
    ("cylindrical", 3.0),
    ("bacilliform", float("inf")),
)
"""Class and the largest Q that still belongs to it."""

BY_Q: Final = frozenset({"", "ellipsoid", "round", "cylindrical"})
"""Outlines to which the classes apply; '' where nobody said otherwise."""


def bas_class(q: float) -> str:
    """The class of one value of Q; q: length divided by width, 1 or more."""
    if not q >= 1:
        raise ValueError(f"Q is length divided by width and so at least 1, not {q:g}. Take the larger one as length.")
    return next(name for name, most in BOUNDS if q <= most)


def shape_class(q_low: float, q_high: float, outline: str = "") -> str:
    """The classes that a range of Q covers: 'ellipsoid' or 'broadly ellipsoid to elongate'.

    q_low, q_high: 5th and 95th percentile of Q. outline: a state of the character spore_shape, or ''. Outlines other
    than ellipsoid ones are given back as they are, without a class.
    """
    if outline not in BY_Q:
        return outline
    first, last = bas_class(max(q_low, 1.0)), bas_class(max(q_high, 1.0))
    return first if first == last else f"{first} to {last}"
