"""Grounds, lights and camera of the demo photographs, and the coin or ruler laid beside."""

from __future__ import annotations

from fruitbody.examine.scene.model import Coin, FruitBody, Ground, Light, Reference, Ruler, Scene, Trunk, View
from fruitbody.examine.scene.place import camera_for

PAPER, LAWN, MULCH, LITTER, BOARD = (
    Ground("paper"),
    Ground("lawn"),
    Ground("mulch"),
    Ground("litter"),
    Ground("board"),
)
TREE = Trunk((0.0, 330.0))
INDOORS = Light(azimuth_deg=-40, elevation_deg=58, warmth=0.55, strength=0.98, ambient=0.5, softness=0.14)
SHADE = Light(azimuth_deg=40, elevation_deg=62, warmth=-0.15, strength=0.9, ambient=0.6, softness=0.2)
SUN = Light(azimuth_deg=-105, elevation_deg=54)


def shot(
    view: View,
    ground: Ground,
    bodies: tuple[FruitBody, ...],
    references: tuple[Reference, ...],
    *,
    target: tuple[float, float, float],
    span: float,
    light: Light = SUN,
    heading: float = 0.0,
    note: str = "",
) -> Scene:
    camera = camera_for(view, target, span, heading_deg=heading)
    return Scene(camera, bodies, references, ground=ground, light=light, view=view, note=note)


def quarter(x: float, y: float, turn: float = 20.0) -> tuple[Reference, ...]:
    return (Coin((x, y), turn_deg=turn),)


def ruler(x: float, y: float, turn: float = 0.0) -> tuple[Reference, ...]:
    return (Ruler((x, y), turn_deg=turn),)
