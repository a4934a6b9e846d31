"""The agent's box of the demo scenario: a bracket, a yellow pot mushroom, an earthball and an inky cap."""

from __future__ import annotations

from dataclasses import replace

from fruitbody.examine.scene import demo_bodies as kinds
from fruitbody.examine.scene.model import Ground, Scene, Trunk
from fruitbody.examine.scene.place import at, camera_for, lying, short, sized, upturned
from fruitbody.examine.scene.shots import INDOORS, LAWN, LITTER, PAPER, SHADE, quarter, ruler, shot


def bracket() -> dict[str, Scene]:
    flat = replace(kinds.BRACKET, base_mm=(0, 20, 26), lean_deg=0, halved=True, spin_deg=180)
    turned = replace(kinds.BRACKET, base_mm=(0, 30, 34), lean_deg=180, halved=True)
    wall = replace(kinds.BRACKET, base_mm=(0, 104, 240), name="a")
    small = replace(sized(kinds.BRACKET, 0.7), base_mm=(30, 103, 160), name="b")
    place = Scene(
        camera_for("side", (0, 60, 190), 620),
        (wall, small),
        trunk=Trunk((0, 330), bark=(116, 104, 92)),
        ground=LITTER,
        light=SHADE,
        view="place",
    )
    return {
        "agents-box-1-top": shot("top", PAPER, (flat,), ruler(0, -118), target=(0, -40, 14), span=290, light=INDOORS),
        "agents-box-1-underside": shot(
            "underside", PAPER, (turned,), quarter(84, -74), target=(0, -34, 14), span=270, light=INDOORS
        ),
        "agents-box-1-place": place,
    }


def pot() -> dict[str, Scene]:
    group = (
        at(kinds.POT_YELLOW, 0, 0, sunk_mm=3),
        at(sized(kinds.POT_YELLOW, 0.8), 30, 20, sunk_mm=3, name="b"),
        at(kinds.POT_YOUNG, -26, 16, sunk_mm=3, name="c"),
    )
    soil = Ground("litter", colour=(70, 54, 44))
    return {
        "agents-box-2-top": shot("top", soil, group, quarter(18, -26), target=(4, 4, 30), span=150, light=SHADE),
        "agents-box-2-side": shot("side", soil, group, quarter(14, -30), target=(4, 0, 30), span=150, light=SHADE),
        "agents-box-2-underside": shot(
            "underside",
            PAPER,
            (upturned(replace(kinds.POT_YELLOW, stem=short(kinds.POT_YELLOW, 26)), 0, 12),),
            quarter(38, -8),
            target=(10, 4, 6),
            span=110,
            light=INDOORS,
        ),
    }


def ball() -> dict[str, Scene]:
    halves = (
        at(replace(kinds.EARTHBALL, halved=True, lean_deg=90, name="a1"), -32, -18),
        at(replace(kinds.EARTHBALL, spin_deg=60, name="b"), 40, 14),
    )
    return {
        "agents-box-3-top": shot(
            "top",
            LITTER,
            (
                at(kinds.EARTHBALL, -30, 6, sunk_mm=3),
                at(sized(kinds.EARTHBALL, 0.8), 28, 20, sunk_mm=3, name="b"),
            ),
            quarter(10, -30),
            target=(0, 2, 16),
            span=180,
        ),
        "agents-box-3-cut": shot(
            "cut", PAPER, halves, ruler(0, -38), target=(2, 4, 10), span=180, light=INDOORS, note="one ball halved"
        ),
    }


def ink() -> dict[str, Scene]:
    trio = (
        at(kinds.INKY, -22, 0, sunk_mm=4),
        at(replace(kinds.INKY_OLD, lean_deg=5, azimuth_deg=60), 34, 16, sunk_mm=4, name="b"),
        at(sized(kinds.INKY, 0.7), 6, 34, sunk_mm=4, name="c"),
    )
    return {
        "agents-box-4-top": shot("top", LAWN, trio, quarter(14, -30), target=(4, 8, 50), span=230),
        "agents-box-4-side": shot("side", LAWN, trio, quarter(8, -36), target=(4, 0, 66), span=290),
        "agents-box-4-cut": shot(
            "cut",
            PAPER,
            (lying(kinds.INKY_OLD, 34, 10, azimuth_deg=-80),),
            ruler(-20, -46),
            target=(-24, 4, 8),
            span=220,
            light=INDOORS,
        ),
    }
