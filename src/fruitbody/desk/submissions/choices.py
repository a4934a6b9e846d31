"""What finders can choose from: states of the funga in plain words, views of photos, regions of the world."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import pycountry as pycountry_untyped
from django.utils.translation import gettext as _

from fruitbody.desk.submissions.models import View
from fruitbody.desk.submissions.told import CANNOT_TELL
from fruitbody.funga import load

FINDER_VIEWS = (View.TOP, View.SIDE, View.UNDERSIDE, View.BASE, View.CUT, View.PLACE)
REFERENCES = ("a coin", "a ruler", "a hand", "something else", "nothing")
UNITS_MM = {"cm": 10.0, "mm": 1.0, "in": 25.4}

pycountry: Any = pycountry_untyped  # its databases are looked up by attributes that no type can know

Choices = list[tuple[str, str]]
Grouped = list[tuple[str, Choices]]


def states(character_id: str) -> Choices:
    """The states of a character as finders read them, with an empty first line and a last one for who cannot tell."""
    character = load().characters[character_id]
    known = [(state.id, state.plain[:1].upper() + state.plain[1:]) for state in character.states]
    return [("", "…"), *known, (CANNOT_TELL, _("I cannot tell"))]


@lru_cache(maxsize=8)
def regions(country: str) -> Grouped:
    """Subdivisions of the clinic's country (ISO 3166-2), then other countries (ISO 3166-1)."""
    subdivisions = pycountry.subdivisions.get(country_code=country) or []
    home = sorted(((s.code, s.name) for s in subdivisions if not s.parent_code), key=lambda pair: pair[1])
    abroad = sorted(
        ((c.alpha_2, c.name) for c in pycountry.countries if c.alpha_2 != country), key=lambda pair: pair[1]
    )
    here = pycountry.countries.get(alpha_2=country)
    return [(here.name if here else country, home), (_("Another country"), abroad)]


def region_name(code: str) -> str:
    """The name of a region or country code; the code itself where nobody knows it."""
    if not code:
        return ""
    found = pycountry.subdivisions.get(code=code) if "-" in code else pycountry.countries.get(alpha_2=code)
    return str(found.name) if found else code
