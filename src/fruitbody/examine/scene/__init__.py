"""Rendered photographs of fruit bodies of known size and colour: for the demo, and as truth for measuring."""

from fruitbody.examine.scene.camera import Camera, Ellipse, disc_ellipse
from fruitbody.examine.scene.model import (
    Cap,
    Card,
    Coin,
    Crust,
    FruitBody,
    Ground,
    Lens,
    Light,
    Marks,
    Ruler,
    Scene,
    Stem,
    Trunk,
)
from fruitbody.examine.scene.render import render

__all__ = [
    "Camera",
    "Cap",
    "Card",
    "Coin",
    "Crust",
    "Ellipse",
    "FruitBody",
    "Ground",
    "Lens",
    "Light",
    "Marks",
    "Ruler",
    "Scene",
    "Stem",
    "Trunk",
    "disc_ellipse",
    "render",
]
