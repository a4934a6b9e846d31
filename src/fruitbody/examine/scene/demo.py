"""The photographs of the demo scenario: which bodies, laid how, seen how."""

from __future__ import annotations

from dataclasses import replace

from fruitbody.examine.scene import demo_bodies as kinds
from fruitbody.examine.scene import demo_box
from fruitbody.examine.scene.model import Crust, Lens, Ruler, Scene
from fruitbody.examine.scene.place import at, bitten, camera_for, lying, short, sized, tuft, upturned
from fruitbody.examine.scene.shots import BOARD, INDOORS, LAWN, LITTER, MULCH, PAPER, SHADE, TREE, quarter, ruler, shot


def demo_scenes() -> dict[str, Scene]:
    """Scenes by name: the submission's name, a hyphen and the view (numbered where a view comes twice)."""
    out: dict[str, Scene] = {}
    for n, group in enumerate(
        (
            _lawn,
            _parasol,
            _crust,
            _dog,
            _two_kinds,
            _fly,
            _dried,
            _button,
            demo_box.bracket,
            demo_box.pot,
            demo_box.ball,
            demo_box.ink,
            _timber,
        )
    ):
        out |= {
            name: replace(scene, seed=101 + n) for name, scene in group().items()
        }  # the views of one thing share its seed
    return out


def _lawn() -> dict[str, Scene]:
    one = kinds.LAWN_BROWN
    stand = tuple(
        at(
            replace(sized(one, f), spin_deg=40.0 * n, lean_deg=4.0 + 2 * (n % 3), azimuth_deg=70.0 * n),
            x,
            y,
            sunk_mm=6,
            name="abcde"[n],
        )
        for n, (x, y, f) in enumerate(((-26, 4, 1.0), (18, 22, 0.85), (34, -20, 0.7), (-62, 40, 0.75), (70, 34, 0.95)))
    )
    low = replace(LAWN, blade_mm=34)
    picked = (
        lying(one, -48, 8, azimuth_deg=80),
        lying(sized(one, 0.8), -30, -34, azimuth_deg=100),
        upturned(replace(one, stem=short(one, 14)), 44, 8),
    )
    return {
        "lawn-brown-1-top": shot("top", low, stand, quarter(-2, -30), target=(2, 6, 20), span=230),
        "lawn-brown-1-side": shot("side", low, stand, quarter(-4, -34), target=(0, 0, 30), span=230),
        "lawn-brown-1-underside": shot(
            "underside", PAPER, picked, quarter(78, -22), target=(14, -6, 8), span=190, light=INDOORS
        ),
        "lawn-brown-1-place": shot("place", LAWN, stand, (), target=(0, 70, 0), span=480),
    }


def _parasol() -> dict[str, Scene]:
    big = kinds.PARASOL
    grown = at(replace(big, lean_deg=4, azimuth_deg=60), 0, 0, sunk_mm=8)
    young = at(kinds.PARASOL_YOUNG, 118, 52, sunk_mm=8, name="b")
    turned = upturned(replace(big, stem=short(big, 70)), 0, 60, lean_deg=156)
    return {
        "mulch-green-parasol-top": shot("top", MULCH, (grown, young), quarter(84, -38), target=(20, 10, 80), span=370),
        "mulch-green-parasol-side": shot("side", MULCH, (grown, young), quarter(62, -46), target=(30, 0, 86), span=400),
        "mulch-green-parasol-underside": shot(
            "underside", BOARD, (turned,), quarter(112, 0), target=(6, 60, 30), span=320, light=SHADE
        ),
        "mulch-green-parasol-base": shot("base", MULCH, (grown,), quarter(34, -16), target=(4, 0, 18), span=150),
    }


def _crust() -> dict[str, Scene]:
    crusts = (
        Crust((-70, 95), 190, 120, thickness_mm=9, lump_mm=17, margin=(112, 108, 104), name="a"),
        Crust((84, 60), 120, 88, thickness_mm=8, lump_mm=15, margin=(120, 116, 110), name="b"),
        Crust((10, 205), 80, 60, thickness_mm=6, lump_mm=13, margin=(150, 148, 142), name="c"),
    )
    base = Scene(
        camera_for("place", (0, 200, 700), 3000), crusts=crusts, trunk=TREE, ground=LITTER, light=SHADE, view="place"
    )
    near = camera_for("side", (-20, 40, 110), 460)
    ruler = (Ruler((-60, -12), height_mm=26.0, upright=True),)
    return {
        "beech-black-crust-place": replace(
            base, camera=replace(near, position_mm=(-260.0, -1300.0, 1350.0), tilt_deg=58.0, heading_deg=9.0)
        ),
        "beech-black-crust-side": replace(
            base, camera=near, references=ruler, view="side", note="ruler on edge against the flare"
        ),
        "beech-black-crust-base": replace(
            base,
            camera=camera_for("side", (-70, 60, 84), 240),
            references=(Ruler((-74, 22), height_mm=44.0, upright=True),),
            view="base",
        ),
    }


def _dog() -> dict[str, Scene]:
    one, eaten = kinds.DOG_BROWN, bitten(kinds.DOG_BROWN)
    pair = (at(one, -16, 10, sunk_mm=5), at(replace(eaten, lean_deg=12, azimuth_deg=120), 24, -6, sunk_mm=5, name="b"))
    return {
        "dog-brown-top": shot("top", LAWN, pair, quarter(-18, -28), target=(2, 0, 25), span=160),
        "dog-brown-side": shot("side", replace(LAWN, blade_mm=28), pair, quarter(-6, -30), target=(4, 0, 32), span=170),
        "dog-brown-underside": shot(
            "underside",
            BOARD,
            (upturned(replace(eaten, stem=short(eaten, 24)), -24, 12), lying(one, 54, 30, azimuth_deg=-100)),
            quarter(18, -22),
            target=(8, 6, 8),
            span=130,
            light=INDOORS,
        ),
    }


def _two_kinds() -> dict[str, Scene]:
    clump = tuft(kinds.HONEY, 9, centre=(-20, 30), spread_mm=66, seed=5)
    strangers = (
        at(kinds.STRANGER, 72, -4, sunk_mm=4, name="s1"),
        at(replace(sized(kinds.STRANGER, 0.85), lean_deg=8, azimuth_deg=200), 92, 22, sunk_mm=4, name="s2"),
    )
    row = tuple(lying(sized(kinds.HONEY, f), x, 34, azimuth_deg=4) for x, f in ((-96, 1.0), (-36, 0.8), (18, 0.9)))
    small = tuple(lying(sized(kinds.STRANGER, f), x, 34, azimuth_deg=-4) for x, f in ((68, 1.0), (104, 0.85)))
    caps = tuple(
        upturned(replace(b, stem=short(b, 16)), x, y) for b, x, y in ((kinds.HONEY, -52, 16), (kinds.STRANGER, 30, 20))
    )
    return {
        "two-kinds-top": shot("top", LITTER, clump + strangers, quarter(44, -34), target=(14, 20, 40), span=290),
        "two-kinds-side": shot(
            "side", LITTER, clump + strangers, quarter(46, -36), target=(16, 10, 44), span=290, light=SHADE
        ),
        "two-kinds-base": shot(
            "cut",
            PAPER,
            row + small,
            ruler(0, -22),
            target=(4, 48, 5),
            span=270,
            light=INDOORS,
            note="laid out from one bag",
        ),
        "two-kinds-underside": shot(
            "underside", PAPER, caps, quarter(2, -28), target=(-8, 8, 8), span=180, light=INDOORS
        ),
    }


def _fly() -> dict[str, Scene]:
    one = at(replace(kinds.FLY, lean_deg=5, azimuth_deg=-50), 0, 0, sunk_mm=14)
    young = at(kinds.FLY_YOUNG, 92, 46, sunk_mm=10, name="b")
    return {
        "photo-only-amanita-top": shot("top", LITTER, (one, young), quarter(62, -34), target=(22, 10, 60), span=300),
        "photo-only-amanita-side": shot("side", LITTER, (one, young), quarter(52, -44), target=(24, 0, 62), span=300),
    }


def _dried() -> dict[str, Scene]:
    bits = tuple(
        replace(upturned(kinds.dried(n), x, y, lean_deg=lean, azimuth_deg=az), name="abcdef"[n])
        for n, (x, y, lean, az) in enumerate(
            (
                (-38, 8, 20, 30),
                (-6, 16, 100, 80),
                (24, 2, 165, 10),
                (40, 26, 60, 200),
                (-20, -14, 95, 300),
                (10, -12, 15, 90),
            )
        )
    )
    return {
        "dried-hopeless-top": shot("top", PAPER, bits, quarter(52, -16), target=(6, 4, 4), span=160, light=INDOORS),
        "dried-hopeless-side": shot("side", PAPER, bits, quarter(52, -22), target=(6, 0, 8), span=160, light=INDOORS),
    }


def _button() -> dict[str, Scene]:
    one = kinds.BUTTON
    half = at(replace(one, halved=True, lean_deg=90), -2, -14)
    return {
        "white-button-top": shot(
            "top", BOARD, (at(one, 0, 0),), quarter(40, -18), target=(8, 0, 18), span=150, light=INDOORS
        ),
        "white-button-side": shot(
            "side",
            BOARD,
            (at(one, 0, 0),),
            quarter(36, -26),
            target=(8, 0, 24),
            span=150,
            light=INDOORS,
            note="stem cut above the ground",
        ),
        "white-button-cut": shot("cut", BOARD, (half,), ruler(4, -40), target=(2, -2, 8), span=196, light=INDOORS),
    }


def _timber() -> dict[str, Scene]:
    crusts = (
        Crust((0, 20), 230, 150, thickness_mm=4.5, lump_mm=20, colour=(138, 84, 44), margin=(226, 210, 176), name="a"),
    )
    base = Scene(
        camera_for("top", (0, 10, 0), 330),
        crusts=crusts,
        references=ruler(10, -86),
        ground=BOARD,
        light=INDOORS,
        view="top",
    )
    return {
        "house-timber-top": base,
        "house-timber-base": replace(
            base, camera=camera_for("base", (50, -10, 0), 170), references=quarter(70, -50), view="base"
        ),
        "house-timber-place": replace(
            base,
            camera=camera_for("place", (0, 30, 0), 460),
            references=ruler(10, -86),
            lens=Lens(blur_px=1.1, noise=4.0),
            view="place",
        ),
    }
