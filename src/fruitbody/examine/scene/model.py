"""What a scene is made of. Lengths in millimetres, angles in degrees, colours as sRGB code values.

World: right-handed, ground plane z = 0, x to the right, y away from a camera of heading 0, z up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from fruitbody.examine.scene.camera import Camera
from fruitbody.examine.scene.colour import RGB

Vec3 = tuple[float, float, float]
Profile = Literal["convex", "conical", "bell", "flat", "depressed", "umbonate", "egg"]
GroundKind = Literal["lawn", "mulch", "litter", "paper", "board"]
View = Literal["top", "side", "underside", "base", "cut", "place"]


@dataclass(frozen=True)
class Coin:
    """A true disc. `height_mm` is the height of its upper face above the ground; the rim hangs `thickness_mm` below."""

    xy_mm: tuple[float, float]
    kind: str = "us-quarter"
    diameter_mm: float = 24.26
    height_mm: float = 1.75
    thickness_mm: float = 1.75
    colour: RGB = (172, 172, 168)
    turn_deg: float = 0.0
    plain: bool = False


@dataclass(frozen=True)
class Ruler:
    """A plate with a millimetre scale along its upper long edge. `upright` stands it on edge, facing heading 0."""

    xy_mm: tuple[float, float]
    length_mm: float = 150.0
    breadth_mm: float = 25.0
    height_mm: float = 1.0
    turn_deg: float = 0.0
    upright: bool = False
    colour: RGB = (226, 222, 205)
    kind: str = "ruler-mm"


@dataclass(frozen=True)
class Card:
    """An ID-1 plate (85.60 x 53.98 mm, ISO/IEC 7810) in one colour, with four neutral patches unless plain."""

    xy_mm: tuple[float, float]
    length_mm: float = 85.60
    breadth_mm: float = 53.98
    height_mm: float = 0.76
    turn_deg: float = 0.0
    upright: bool = False
    colour: RGB = (214, 214, 214)
    plain: bool = False
    kind: str = "card-id1"


Reference = Coin | Ruler | Card


@dataclass(frozen=True)
class Marks:
    """Scales or warts on the cap: their colour, size, share of the surface at the margin and at the centre, relief."""

    colour: RGB
    size_mm: float = 4.0
    share_margin: float = 0.2
    share_centre: float = 0.7
    relief: float = 0.3


@dataclass(frozen=True)
class Cap:
    """Upper side and underside. `height_mm` None takes the profile's own; `wavy_mm` lifts the margin in lobes."""

    width_mm: float
    profile: Profile = "convex"
    height_mm: float | None = None
    colour: RGB = (150, 105, 65)
    centre: RGB | None = None
    margin: RGB | None = None
    marks: Marks | None = None
    zones: int = 0
    fibres: float = 0.0
    striate: float = 0.0
    gloss: float = 0.05
    wavy_mm: float = 0.0
    wrinkle: float = 0.0
    underside: Literal["gills", "pores", "smooth"] = "gills"
    underside_colour: RGB = (200, 170, 140)
    gill_count: int = 90
    pore_mm: float = 1.0
    flesh: RGB = (240, 235, 222)
    # (azimuth in degrees, radius in mm) of a bite out of the margin
    bite: tuple[float, float] | None = None


@dataclass(frozen=True)
class Stem:
    """Length from base to the cap, widths at apex, middle and base; a flat foot when `cut_off` above the ground."""

    length_mm: float
    apex_mm: float
    middle_mm: float
    base_mm: float
    colour: RGB = (225, 210, 185)
    base_colour: RGB | None = None
    rings: tuple[float, ...] = ()
    ring_colour: RGB = (240, 235, 225)
    volva: RGB | None = None
    cut_off: bool = False
    fibres: float = 0.3
    bend_mm: float = 0.0


@dataclass(frozen=True)
class FruitBody:
    """A surface of revolution: base at `base_mm`, its axis `lean_deg` from upright towards `azimuth_deg`.

    form: "mushroom" has a stem, "shelf" is the cap alone (half of it in a trunk, or `halved`), "ball" a skin round a
    core (`inside`). `halved` keeps the half behind the plane through the axis that faces local -y; `spin_deg` turns
    the body about its axis.
    """

    cap: Cap
    stem: Stem | None = None
    form: Literal["mushroom", "shelf", "ball"] = "mushroom"
    base_mm: Vec3 = (0.0, 0.0, 0.0)
    lean_deg: float = 0.0
    azimuth_deg: float = 0.0
    spin_deg: float = 0.0
    halved: bool = False
    inside: RGB | None = None
    name: str = "a"


@dataclass(frozen=True)
class Crust:
    """A lumpy crust lying on the trunk (`at_mm` = along the girth from its front, height) or on the ground (x, y)."""

    at_mm: tuple[float, float]
    width_mm: float
    height_mm: float
    thickness_mm: float = 8.0
    lump_mm: float = 14.0
    colour: RGB = (64, 60, 58)
    margin: RGB | None = None
    name: str = "crust"


@dataclass(frozen=True)
class Trunk:
    """An upright bark-covered trunk, its radius widened by `flare_mm` at the foot."""

    xy_mm: tuple[float, float]
    radius_mm: float = 220.0
    flare_mm: float = 70.0
    flare_height_mm: float = 140.0
    bark: RGB = (128, 122, 114)
    relief_mm: float = 5.0


@dataclass(frozen=True)
class Ground:
    """What lies underneath; `blade_mm` is the length of the grass on a lawn, `patch` how strongly it varies."""

    kind: GroundKind = "lawn"
    colour: RGB | None = None
    blade_mm: float = 45.0
    patch: float = 0.35


@dataclass(frozen=True)
class Light:
    """A far source plus a sky. Level ground in full light shows exactly its own colour at strength 1, warmth 0."""

    azimuth_deg: float = -60.0
    elevation_deg: float = 52.0
    warmth: float = 0.2
    strength: float = 1.0
    ambient: float = 0.4
    softness: float = 0.06


@dataclass(frozen=True)
class Lens:
    """What the camera adds: Gaussian blur, darkening of the corners, noise (sRGB codes at mid grey), JPEG quality."""

    blur_px: float = 0.8
    vignetting: float = 0.12
    noise: float = 2.0
    jpeg_quality: int = 85


@dataclass(frozen=True)
class Scene:
    """Everything `render` needs; equal scenes give equal pixels."""

    camera: Camera
    bodies: tuple[FruitBody, ...] = ()
    references: tuple[Reference, ...] = ()
    crusts: tuple[Crust, ...] = ()
    trunk: Trunk | None = None
    ground: Ground = field(default_factory=Ground)
    light: Light = field(default_factory=Light)
    lens: Lens = field(default_factory=Lens)
    seed: int = 1
    view: View = "top"
    note: str = ""
