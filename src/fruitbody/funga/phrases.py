"""How each character is put into a description: the small words round what was scored. Words only, no rule.

A description is written as the trade writes it, without verbs: "50–140 mm wide; gently domed to flat; olive, at times
green". Characters that stand here as nothing but themselves are said by the plain words of their states.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

COLOURS: Final = {
    "cream": "cream", "pink": "pink", "lilac": "lilac", "purple": "purple", "olive": "olive", "tan": "tan",
    "rust": "rust-brown",
}  # fmt: skip
"""Colours by one word each; a list of them reads better than a list of choices. Others go by their plain names."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """lead: before the words; tail: after them; words: what a state is called here, instead of its plain name;
    whole: states that need neither lead nor tail; join: before the last of several equals."""

    lead: str = ""
    tail: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    whole: Mapping[str, str] = field(default_factory=dict)
    join: str = "or"


PLAIN: Final = Phrase()
COLOURED: Final = Phrase(words=COLOURS)
NO_CHANGE: Final = "no change"

PHRASES: Final[Mapping[str, Phrase]] = {
    # The whole
    "growth_habit": Phrase(
        "growing",
        words={
            "single": "singly", "scattered": "scattered", "tufted": "in tufts of free stems",
            "joined-base": "with stems joined at the base", "trunk-base": "many from one trunk-like base",
            "overlapping": "in overlapping shelves", "fused-row": "side by side and grown together",
        },
    ),
    "body_width": Phrase(tail="wide"),
    "body_height": Phrase(tail="high"),
    "body_colour": COLOURED,
    # Cap
    "cap_width": Phrase(tail="wide"),
    "cap_shape": Phrase(
        words={"egg": "like an egg or thimble", "hemispherical": "like half a ball", "conical": "cone-shaped"},
        join="to",
    ),
    "cap_umbo": Phrase("with", whole={"none": "without a hump"}),
    "cap_colour": COLOURED,
    "cap_surface": Phrase(
        "skin",
        words={
            "scaly": "with scales of its own", "patches": "with loose patches or warts", "powdery": "powdery or grainy",
            "fibrous": "with lying silky threads", "velvety": "velvety",
        },
        join="and",
    ),
    "cap_touch": Phrase("touch"),
    "cap_hygrophanous": Phrase(words={"yes": "paler in a band as it dries", "no": "keeping its colour as it dries"}),
    "cap_margin": Phrase("edge", words={
        "lined-when-wet": "lined by the gills when wet", "rags": "hung with rags of veil", "split": "splitting",
    }, join="and"),
    "cap_peel": Phrase("skin", words={
        "none": "not peeling", "quarter": "peeling a quarter of the way", "half": "peeling half-way",
        "three-quarters": "peeling three quarters", "whole": "peeling to the middle",
    }),
    "bracket_join": PLAIN,
    "bracket_life": Phrase("lasting"),
    "drops": Phrase(tail="drops on the growing edge", whole={"none": "without drops"}),
    # Underside
    "hymenium": Phrase(words={"gills": "gills", "pores": "pores", "ridges": "blunt folds or ridges"}),
    "gill_attachment": Phrase(words={
        "free": "free from the stem", "collared": "free, fixed to a small collar", "notched": "notched at the stem",
        "broad": "joined across their width",
    }),
    "gill_colour": COLOURED,
    "gill_edge": Phrase("edge", words={"same": "of the same colour", "paler": "paler or fringed", "saw": "ragged"}),
    "gill_marks": Phrase(words={
        "liquefying": "melting into black ink", "split": "split lengthwise and curling back",
        "stained": "staining in spots",
    }, join="and"),
    "pores_per_mm": PLAIN,
    "pore_shape": Phrase("pores"),
    "pore_colour": COLOURED,
    "underside_bruise": Phrase(tail="where pressed", words={"none": NO_CHANGE}),
    "tube_layers": Phrase("tubes in"),
    "tooth_length": Phrase("teeth", "long"),
    # Inside, head
    "ball_inside": Phrase("halved:"),
    "ball_skin": Phrase("skin", words={"spiny": "with spines, warts or grains that rub off"}),
    "ball_opening": Phrase("opening by", words={"tearing": "tearing or breaking up"},
                           whole={"not-yet": "not open yet"}),
    "sterile_base": Phrase(words={"large": "a large spongy foot without spores", "small": "little or no spongy foot"}),
    "head_surface": Phrase(words={"pits": "pits with ribs between", "saddle": "lobes like a saddle"}),
    "halved_inside": Phrase("halved:"),
    "cup_edge": Phrase("edge and outside"),
    # Veils
    "ring": Phrase(words={
        "none": "no ring to be seen", "cobweb": "cobweb threads", "hanging": "a ring hanging like a skirt",
        "sheathing": "a ring sheathing the stem from below",
    }),
    "ring_marks": Phrase("ring", words={"cogwheel": "with cogwheel patches below"}, join="and"),
    # Stem and foot
    "stem": Phrase(words={"none": "none", "central": "in the middle", "off-centre": "off the middle"}),
    "stem_length": Phrase(tail="long"),
    "stem_width": Phrase(tail="thick"),
    "stem_colour": COLOURED,
    "stem_surface": Phrase(words={
        "fibrous": "with lengthwise threads", "netted": "with a raised net", "scabers": "with rough dark tufts",
        "dots": "with sticky or coloured dots", "pits": "with pits like craters", "banded": "with snakeskin bands",
        "velvety": "velvety",
    }, join="and"),
    "stem_break": Phrase(words={
        "chalk": "snapping like chalk", "gristly": "gristly", "soft": "soft and crushed at once", "tough": "tough",
    }),
    "stem_inside": Phrase("inside", words={"stuffed": "stuffed with pith"}),
    "volva": Phrase(words={"none": "nothing round it", "powder": "powder or crumbs"}),
    "stem_base": PLAIN,
    "base_marks": Phrase("with", words={"white-felt": "white felt that binds the litter"}, join="and"),
    "base_cut_colour": Phrase(tail="where cut", words={"none": NO_CHANGE}),
    # Flesh, deposit
    "flesh_texture": Phrase(words={
        "granular": "crumbling like chalk", "brittle": "brittle like charcoal", "jelly": "like jelly or rubber",
    }),
    "flesh_colour": COLOURED,
    "flesh_change": Phrase("turning", "where cut", whole={"none": "not changing colour"}),
    "milk": Phrase(tail="milk", whole={"none": "no milk"}),
    "milk_change": Phrase("milk turning", whole={"none": "milk keeping its colour"}),
    "smell": Phrase("smelling of", whole={"none": "no smell to speak of"}),
    "taste": Phrase("taste, as noted by a clinic,"),
    "deposit_colour": PLAIN,
    # Spores and the microscope
    "spore_ornament": PLAIN,
    "spore_pore": Phrase(words={
        "none": "no germ pore", "small": "a small or indistinct germ pore",
        "broad": "a broad germ pore that can cut the tip off",
    }),
    "spore_iodine": Phrase(tail="in Melzer's solution", words={"none": NO_CHANGE}),
    "spore_cell": Phrase(words={"no-such-cell": "neither basidia nor asci"}),
    "sterigmata": Phrase(tail="spores to a basidium"),
    "edge_cystidia": Phrase("cystidia on the gill edge", whole={"none": "no cystidia on the gill edge"}),
    "face_cystidia": Phrase("cystidia on the gill face", whole={"none": "no cystidia on the gill face"}),
    "clamps": Phrase("clamp connections"),
    "cap_skin": Phrase("cap skin of"),
    "hyphal_system": Phrase("threads of"),
    "setae": Phrase("setae"),
    # Reagents
    "koh_cap": Phrase("KOH on the cap skin:"),
    "koh_flesh": Phrase("KOH on the flesh:"),
    "iron_flesh": Phrase("iron sulfate on the flesh:"),
    # Place
    "substrate": Phrase("on", words={
        "grass": "grass", "soil": "soil", "litter": "leaves and needles", "mulch": "chips, bark and sawdust",
        "living-tree": "living trees", "roots": "tree roots", "dead-wood": "dead wood", "buried-wood": "buried wood",
        "timber": "building timber", "wall": "plaster, walls and carpets", "pot": "pots and greenhouse soil",
        "dung": "dung", "burnt": "fire sites", "cones": "cones and nuts", "plant": "living plants",
        "fungus": "other fungi", "insect": "insects",
    }),
    "host": Phrase("with", words={"other-broadleaf": "other broad-leaved trees", "other-conifer": "other conifers"},
                   whole={"no-tree": "without a tree near"}),
    "place_on_tree": PLAIN,
    "tree_state": Phrase(words={
        "living": "a living tree", "dead-standing": "a dead standing tree", "stump": "a stump",
        "fallen": "a fallen trunk",
    }),
    "rot": Phrase(words={"white": "white rot", "white-pocket": "white pocket rot", "brown": "brown rot in cubes",
                         "soft": "soft rot, brittle, often with black lines"}),
    "fairy_ring": Phrase(whole={"no-ring": "no ring in the turf"}),
}  # fmt: skip

BEFORE_OFTEN: Final = frozenset({"with", "on", "smelling of", "growing", "turning", "opening by", "lasting"})
"""Leads that stand after 'at times': 'at times with white cords', but 'edge at times rolled in'."""

UNSAID: Final[Mapping[str, frozenset[str]]] = {
    "gill_attachment": frozenset({"stemless"}),
}
"""States that say nothing which the organ before has not said."""
