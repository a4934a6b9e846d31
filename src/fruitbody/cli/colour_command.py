"""`fruitbody colour`: a colour code, a CIELAB value or a patch of a photo; its names and its plain class."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path
from typing import Any

import numpy as np

from fruitbody import funga
from fruitbody.examine.colour.correction import NONE, Correction, by_grey, by_white
from fruitbody.examine.colour.names import EDITION, nearest_classes, nearest_ridgway
from fruitbody.examine.colour.patch import Disc, Measured, measure, sample
from fruitbody.examine.colour.pixels import read_pixels
from fruitbody.examine.colour.plain import DEPOSIT, Plain, plain_of
from fruitbody.examine.colour.spaces import (
    ColourError,
    Floats,
    Lab,
    check_lab,
    decode,
    lab_of_srgb,
    lch_of_lab,
    parse_hex,
    shown,
    slopes,
    srgb_of_lab,
)

PLAIN_OF = "cap_colour"
"""Any character with the funga's plain colours; they all share one list."""


def add(commands: Any) -> None:
    parser = commands.add_parser("colour", help="name a colour, typed or from a patch of a photo", description=__doc__)
    parser.add_argument("what", nargs="?", metavar="#RRGGBB|PHOTO", help="a colour code (in quotes) or a photo")
    parser.add_argument("--lab", metavar="L,a,b", help="a colour in CIELAB (D65, 2 degrees)")
    parser.add_argument("--patch", metavar="X,Y,R", help="round patch of the photo: centre and radius in pixels")
    light = parser.add_mutually_exclusive_group()
    light.add_argument("--white", metavar="X,Y,R", help="a place of white paper in the same light")
    light.add_argument("--grey", metavar="X,Y,R", help="a place without colour of its own in the same light")
    parser.add_argument("--print", action="store_true", help="the patch is a spore print lying flat on its paper")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    result = answer(options)
    print(json.dumps(result, ensure_ascii=False, indent=2) if options.json else as_text(result))
    return 0


def answer(options: argparse.Namespace) -> dict[str, Any]:
    """The terminal's contract (docs/cli.md)."""
    if (options.what is None) == (options.lab is None):
        raise ColourError('Give one colour: a code such as "#B5763A", or --lab L,a,b, or a photo with --patch X,Y,R.')
    if options.lab is not None:
        _no_photo(options)
        return _named(check_lab(_numbers(options.lab, "--lab L,a,b")), None, options)
    if re.match(r"#|[0-9a-fA-F]{6}$", options.what) and not Path(options.what).exists():
        _no_photo(options)
        code = parse_hex(options.what)
        return _named(_lab(lab_of_srgb(code)), _rounding(decode(code)), options)
    found = _measured(options)
    patch = {
        "correction": found.correction,
        "spread": _rounded(np.sqrt(np.diag(found.spread))),
        "pixels": found.pixels,
        "used": found.used,
        "glare": found.glare,
        "shadow": found.shadow,
    }
    result = _named(found.lab, found.covariance, options)
    return {**result, "patch": patch, "warnings": [*found.warnings, *result["warnings"]]}


def _no_photo(options: argparse.Namespace) -> None:
    if options.patch or options.white or options.grey:
        raise ColourError("--patch, --white and --grey are places in a photo. Name the photo, or leave them out.")


def _measured(options: argparse.Namespace) -> Measured:
    path = Path(options.what)
    if not path.is_file():
        raise ColourError(f"There is no photo {path}. Name a photo, or write a colour as # and six digits.")
    if not options.patch:
        raise ColourError("Say which place of the photo is meant: --patch X,Y,R, in pixels from the upper left corner.")
    pixels = read_pixels(path.read_bytes())
    disc = Disc(*_numbers(options.patch, "--patch X,Y,R"))
    correction: Correction = NONE
    if options.white:
        correction = by_white(sample(pixels, Disc(*_numbers(options.white, "--white X,Y,R")), what="white"))
    elif options.grey:
        correction = by_grey(sample(pixels, Disc(*_numbers(options.grey, "--grey X,Y,R")), what="grey"))
    return measure(pixels, disc, correction, flat=options.print)


def _numbers(text: str, form: str) -> Lab:
    try:
        first, second, third = (float(part) for part in text.split(","))
    except ValueError:
        raise ColourError(f"“{text}” is not of the form {form}: three numbers with commas between.") from None
    return first, second, third


def _rounding(light: Floats) -> Floats:
    """Covariance of a colour given as codes: each is rounded to a whole one (uniform, so half a code over √3)."""
    step = np.diag(np.square(2.2 * 0.5 / np.sqrt(3) / np.maximum(255 * light ** (1 / 2.2), 1.0)))
    slope = slopes(light)
    return np.asarray(slope @ step @ slope.T)


def _named(lab: Lab, covariance: Floats | None, options: argparse.Namespace) -> dict[str, Any]:
    known = funga.load()
    plain = plain_of(known.characters[PLAIN_OF], lab, covariance)
    (best, far), *others = nearest_classes(lab)
    red, green, blue = srgb_of_lab(lab)
    result: dict[str, Any] = {
        "lab": _rounded(lab),
        "lch": _rounded(lch_of_lab(lab)),
        "srgb": f"#{red:02x}{green:02x}{blue:02x}",
        "uncertainty": None if covariance is None else {"expanded": _rounded(2 * np.sqrt(np.diag(covariance))), "k": 2},
        "iscc_nbs": {
            "level1": best.level1,
            "level2": best.level2,
            "level3": best.level3,
            "number": best.number,
            "delta_e": round(far, 2),
            "next": [{"level3": one.level3, "delta_e": round(away, 2)} for one, away in others],
        },
        "ridgway": [
            {"name": one.name, "places": list(one.places), "edition": EDITION, "delta_e": round(away, 2)}
            for one, away in nearest_ridgway(lab)
        ],
        "plain": plain.best,
        "plain_shares": _shares(plain),
    }
    if options.print:
        deposit = plain_of(known.characters[DEPOSIT], lab, covariance)
        result |= {"deposit": deposit.best, "deposit_shares": _shares(deposit)}
    said = [] if plain.fits else [f"No plain colour of the funga fits well; “{plain.best}” is only the nearest."]
    if not shown(lab):
        said.append("No screen shows this colour; the code given is the nearest that one can show.")
    return {**result, "warnings": said}


def _shares(plain: Plain) -> dict[str, float]:
    """Shares of at least one in a thousand."""
    return {state: round(share, 3) for state, share in plain.shares.items() if share >= 0.001}


def _rounded(values: Any) -> list[float]:
    return [round(float(v), 2) + 0.0 for v in values]  # + 0.0 turns −0.0 into 0.0


def _lab(values: Floats) -> Lab:
    lightness, a, b = values
    return float(lightness), float(a), float(b)


def as_text(result: dict[str, Any]) -> str:
    """The same for a reader at the terminal."""
    lightness, a, b = result["lab"]
    iscc = result["iscc_nbs"]
    lines = [f"CIELAB     L {lightness:.1f}, a {a:.1f}, b {b:.1f}   (D65, 2°; on a screen {result['srgb']})"]
    if result["uncertainty"]:
        lines.append("           " + "± {:.1f}, ± {:.1f}, ± {:.1f} (k = 2)".format(*result["uncertainty"]["expanded"]))
    if "patch" in result:
        patch = result["patch"]
        lines.append(
            f"patch      {patch['used']} of {patch['pixels']} pixels; left out: {patch['glare']} as glare, "
            f"{patch['shadow']} as shadow; corrected by: {patch['correction']}"
        )
    lines.append(f"ISCC–NBS   {iscc['level3']} ({iscc['number']}); {iscc['level2']}; {iscc['level1']}")
    lines.append(f"           near it: {', '.join(one['level3'] for one in iscc['next'])}")
    names = [f"{one['name']} ({'; '.join(one['places']) or 'plate not known'})" for one in result["ridgway"]]
    lines.append(f"Ridgway    {', '.join(names)} (1912; placed by class only)")
    lines.append(f"plain      {_in_words(result['plain_shares'])}")
    if "deposit" in result:
        lines.append(f"as print   {_in_words(result['deposit_shares'])}")
    return "\n".join([*lines, *result["warnings"]])


def _in_words(shares: dict[str, float]) -> str:
    return ", ".join(
        f"{state.replace('-', ' ')} {share:.2f}" for state, share in list(shares.items())[:3] if share >= 0.01
    )
