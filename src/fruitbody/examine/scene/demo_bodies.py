"""The fruit bodies of the demo photographs; sizes and colours are ours, usual for such a look (from memory)."""

from __future__ import annotations

from fruitbody.examine.scene.model import Cap, FruitBody, Marks, Stem

LAWN_BROWN = FruitBody(
    Cap(
        24,
        "bell",
        height_mm=13,
        colour=(160, 116, 74),
        centre=(126, 80, 46),
        striate=0.25,
        underside_colour=(104, 74, 56),
        gill_count=44,
        gloss=0.08,
    ),
    Stem(52, 2.6, 2.8, 3.2, colour=(196, 166, 128), fibres=0.4, bend_mm=5),
)
DOG_BROWN = FruitBody(
    Cap(
        31,
        "convex",
        colour=(134, 88, 54),
        centre=(104, 62, 38),
        striate=0.15,
        underside_colour=(92, 66, 52),
        gill_count=50,
        gloss=0.1,
    ),
    Stem(48, 3.6, 3.8, 4.4, colour=(188, 156, 120), base_colour=(140, 106, 76), fibres=0.4, bend_mm=-4),
)
PARASOL = FruitBody(
    Cap(
        164,
        "umbonate",
        height_mm=44,
        colour=(238, 230, 214),
        centre=(150, 108, 76),
        wavy_mm=5,
        fibres=0.12,
        gill_count=150,
        gloss=0.02,
        marks=Marks((158, 116, 82), size_mm=8.0, share_margin=0.12, share_centre=0.8),
        underside_colour=(198, 196, 162),
    ),
    Stem(
        158,
        13,
        15,
        26,
        colour=(214, 198, 176),
        base_colour=(166, 136, 110),
        rings=(0.74, 0.70),
        ring_colour=(232, 222, 204),
        fibres=0.35,
    ),
    name="a",
)
PARASOL_YOUNG = FruitBody(
    Cap(
        52,
        "egg",
        colour=(224, 208, 186),
        centre=(142, 98, 68),
        marks=Marks((150, 106, 74), size_mm=6.0, share_margin=0.25, share_centre=0.9),
        gloss=0.02,
        underside_colour=(232, 226, 212),
    ),
    Stem(70, 13, 15, 24, colour=(214, 198, 176), base_colour=(166, 136, 110)),
)
HONEY = FruitBody(
    Cap(
        62,
        "convex",
        height_mm=22,
        colour=(192, 142, 78),
        centre=(138, 92, 48),
        striate=0.2,
        gill_count=80,
        gloss=0.08,
        wavy_mm=2,
        marks=Marks((104, 68, 40), size_mm=2.4, share_margin=0.0, share_centre=0.42),
        underside_colour=(228, 206, 172),
    ),
    Stem(88, 8, 9, 13, colour=(206, 174, 130), base_colour=(122, 86, 56), rings=(0.84,), ring_colour=(240, 226, 190)),
    name="h",
)
STRANGER = FruitBody(
    Cap(
        30,
        "convex",
        colour=(168, 104, 50),
        centre=(138, 78, 36),
        margin=(192, 136, 80),
        striate=0.35,
        underside_colour=(164, 112, 66),
        gill_count=54,
        gloss=0.12,
    ),
    Stem(
        52,
        3.2,
        3.6,
        4.2,
        colour=(176, 132, 88),
        base_colour=(82, 58, 42),
        rings=(0.74,),
        ring_colour=(198, 164, 120),
        bend_mm=4,
    ),
    name="s",
)
FLY = FruitBody(
    Cap(
        112,
        "convex",
        height_mm=38,
        colour=(196, 38, 22),
        margin=(212, 74, 26),
        striate=0.12,
        gloss=0.16,
        gill_count=120,
        marks=Marks((246, 240, 222), size_mm=9.0, share_margin=0.16, share_centre=0.34, relief=0.9),
        underside_colour=(246, 240, 226),
    ),
    Stem(122, 15, 18, 34, colour=(244, 238, 222), rings=(0.76,), ring_colour=(246, 240, 222), fibres=0.25),
)
FLY_YOUNG = FruitBody(
    Cap(
        58,
        "egg",
        colour=(188, 34, 22),
        gloss=0.16,
        marks=Marks((246, 240, 222), size_mm=8.0, share_margin=0.4, share_centre=0.55, relief=0.9),
        underside_colour=(246, 240, 226),
    ),
    Stem(56, 18, 22, 38, colour=(244, 238, 222)),
)
BUTTON = FruitBody(
    Cap(
        48,
        "egg",
        height_mm=33,
        colour=(244, 240, 230),
        centre=(236, 226, 204),
        fibres=0.08,
        underside_colour=(214, 186, 172),
        gill_count=90,
        gloss=0.03,
        flesh=(248, 245, 236),
    ),
    Stem(24, 17, 18, 19, colour=(240, 234, 220), cut_off=True, fibres=0.12),
)
BRACKET = FruitBody(
    Cap(
        178,
        "flat",
        height_mm=38,
        colour=(172, 112, 58),
        centre=(132, 72, 40),
        margin=(226, 186, 112),
        zones=4,
        fibres=0.25,
        underside="pores",
        pore_mm=1.6,
        underside_colour=(222, 200, 150),
        gloss=0.05,
        flesh=(204, 160, 100),
        wavy_mm=4,
    ),
    form="shelf",
)
POT_YELLOW = FruitBody(
    Cap(
        42,
        "bell",
        height_mm=22,
        colour=(238, 216, 78),
        centre=(226, 184, 54),
        striate=0.3,
        gill_count=64,
        gloss=0.03,
        underside_colour=(244, 232, 142),
        marks=Marks((214, 176, 60), size_mm=2.0, share_margin=0.15, share_centre=0.6),
    ),
    Stem(58, 3.4, 4.0, 7.5, colour=(240, 222, 100), rings=(0.62,), ring_colour=(244, 230, 130), fibres=0.15, bend_mm=4),
)
POT_YOUNG = FruitBody(
    Cap(
        16,
        "egg",
        height_mm=22,
        colour=(236, 210, 76),
        centre=(220, 180, 54),
        underside_colour=(244, 232, 142),
        marks=Marks((210, 172, 58), size_mm=1.8),
    ),
    Stem(30, 3.4, 4.2, 8, colour=(240, 222, 100), bend_mm=-3),
)
EARTHBALL = FruitBody(
    Cap(
        58,
        height_mm=46,
        colour=(198, 160, 96),
        marks=Marks((140, 102, 60), size_mm=3.4, share_margin=0.5, share_centre=0.6),
        gloss=0.02,
        flesh=(236, 226, 200),
    ),
    form="ball",
    inside=(58, 44, 62),
)
INKY = FruitBody(
    Cap(
        40,
        "egg",
        height_mm=92,
        colour=(240, 234, 222),
        centre=(204, 170, 124),
        margin=(206, 192, 184),
        fibres=0.1,
        underside_colour=(226, 206, 200),
        gloss=0.02,
        marks=Marks((206, 182, 150), size_mm=6.5, share_margin=0.3, share_centre=0.5),
    ),
    Stem(92, 9, 10, 14, colour=(242, 238, 228), fibres=0.15),
)
INKY_OLD = FruitBody(
    Cap(
        52,
        "bell",
        height_mm=50,
        colour=(206, 194, 182),
        centre=(226, 206, 172),
        margin=(34, 28, 32),
        striate=0.5,
        fibres=0.25,
        underside_colour=(40, 34, 38),
        gill_count=110,
        wavy_mm=2,
        marks=Marks((176, 150, 122), size_mm=6.0, share_margin=0.0, share_centre=0.5),
    ),
    Stem(128, 8, 9, 13, colour=(238, 232, 222), fibres=0.2, bend_mm=5),
)


def dried(n: int) -> FruitBody:
    """One of several shrivelled scraps."""
    width = (22.0, 17.0, 25.0, 14.0, 19.0, 20.0)[n % 6]
    cap = Cap(
        width,
        ("depressed", "convex", "flat")[n % 3],
        height_mm=0.3 * width,
        colour=((96, 70, 48), (116, 84, 56), (80, 58, 44))[n % 3],
        underside_colour=(74, 52, 38),
        gill_count=40,
        wavy_mm=5.0,
        wrinkle=0.2,
        fibres=0.6,
    )
    return FruitBody(
        cap,
        Stem(
            16.0 + 3 * (n % 4), 2.4, 2.8, 2.6, colour=(112, 84, 60), fibres=0.7, bend_mm=6.0 * (-1) ** n, cut_off=True
        ),
    )
