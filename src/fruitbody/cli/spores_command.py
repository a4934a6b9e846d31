"""`fruitbody spores` and `fruitbody calibrate`: spores measured in a picture or read from a file; µm per pixel."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from fruitbody.examine.spores.calibration import Scale, read_scale
from fruitbody.examine.spores.detection import Detection, detect, sample_of
from fruitbody.examine.spores.errors import SporeError
from fruitbody.examine.spores.manual import read_measurements
from fruitbody.examine.spores.notation import notation
from fruitbody.examine.spores.picture import read_picture
from fruitbody.examine.spores.sample import CONVENTION, Sample
from fruitbody.examine.spores.statistics import (
    Spread,
    Summary,
    bootstrap,
    how_many,
    mean_length,
    mean_q,
    mean_width,
    summarise,
)

SEED = 1
WISHED_SHARE = 0.02
"""The precision for which the number of missing spores is told: ± 2 % of the mean length."""


def add(commands: Any) -> None:
    one = commands.add_parser("spores", help="measure spores in a picture, or read measurements", description=__doc__)
    one.add_argument("image", nargs="?", type=Path, metavar="IMAGE", help="a photo through the microscope")
    one.add_argument("--um-per-px", type=float, default=None, metavar="F", help="µm per pixel, from a calibration")
    one.add_argument(
        "--csv", type=Path, default=None, metavar="FILE", help="length_um, width_um, fruit_body, collection"
    )
    one.add_argument("--json", action="store_true", help="print JSON")
    one.set_defaults(run=run_spores)
    one = commands.add_parser("calibrate", help="µm per pixel from a stage micrometer", description=__doc__)
    one.add_argument("image", type=Path, metavar="IMAGE", help="a photo of the stage micrometer")
    one.add_argument("--division-um", type=float, required=True, metavar="F", help="µm from line to line")
    one.add_argument("--json", action="store_true", help="print JSON")
    one.set_defaults(run=run_calibrate)


def run_spores(options: argparse.Namespace) -> int:
    if (options.image is None) == (options.csv is None):
        raise SporeError("Name either a picture or, with --csv, a file of measurements.")
    if options.csv is not None:
        if options.um_per_px is not None:
            raise SporeError("Measurements in a file are in micrometres already: leave --um-per-px out.")
        sample, found = read_measurements(_text(options.csv)), None
    else:
        found = detect(read_picture(_bytes(options.image)), options.um_per_px)
        sample = sample_of(found)
    summary = summarise(sample)
    if options.json:
        print(json.dumps(spores_json(sample, summary, found), ensure_ascii=False, indent=2))
    else:
        print(spores_text(sample, summary, found))
    return 0


def run_calibrate(options: argparse.Namespace) -> int:
    picture = read_picture(_bytes(options.image))
    scale = read_scale(picture, options.division_um)
    if options.json:
        print(json.dumps(scale_json(scale, picture.shape[1], picture.shape[0]), ensure_ascii=False, indent=2))
    else:
        print(scale_text(scale))
    return 0


def _bytes(path: Path) -> bytes:
    if not path.is_file():
        raise SporeError(f"There is no file {path}. Name a picture.")
    return path.read_bytes()


def _text(path: Path) -> str:
    if not path.is_file():
        raise SporeError(f"There is no file {path}. Name a file with the columns length_um and width_um.")
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise SporeError(f"{path} is no text in UTF-8. Save the table as CSV and try again.") from None


# JSON


def spores_json(sample: Sample, summary: Summary, found: Detection | None) -> dict[str, Any]:
    """The contract's keys; without a scale `_px` stands in place of `_um`, and there is no micrometre anywhere."""
    unit = "um" if summary.unit == "µm" else "px"
    out: dict[str, Any] = {
        "n": summary.n,
        f"length_{unit}": _spread(summary.length),
        f"width_{unit}": _spread(summary.width),
        "q": _spread(summary.q),
        "notation": notation(summary),
        "shape_class": summary.shape_class,
        "per_fruit_body": [
            {
                "fruit_body": b.fruit_body, "collection": b.collection, "n": b.n, f"length_{unit}": _round(b.l),
                f"width_{unit}": _round(b.w), "q": _round(b.q),
            }
            for b in summary.per_fruit_body
        ],
        "spores": _spores(sample, found, unit),
        "rejected": [
            {"x": _round(b.x), "y": _round(b.y), "reason": b.reason} for b in (found.rejected if found else ())
        ],
    }  # fmt: skip
    more = {
        f"volume_{unit}3": _spread(summary.volume), "intervals": _intervals(sample, summary), "odd": list(summary.odd),
        "convention": CONVENTION, "remarks": list(found.remarks) if found else [],
    }  # fmt: skip
    return out | more


def _spread(spread: Spread | None) -> dict[str, Any] | None:
    if spread is None:
        return None
    return {key: _round(getattr(spread, key)) for key in ("mean", "sd", "min", "p5", "p95", "max")}


def _spores(sample: Sample, found: Detection | None, unit: str) -> list[dict[str, Any]]:
    rows = []
    for i, spore in enumerate(sample.spores):
        body = found.accepted[i] if found else None
        rows.append(
            {
                "x": _round(body.x) if body else None,
                "y": _round(body.y) if body else None,
                f"length_{unit}": _round(spore.length),
                f"width_{unit}": _round(spore.width),
                "angle_deg": _round(body.angle_deg) if body else None,
            }
        )
    return rows


def _intervals(sample: Sample, summary: Summary) -> dict[str, list[float | None]]:
    """95 % intervals of the means by resampling, always from the same start."""
    wanted = {"length": mean_length} if summary.width is None else _MEANS
    return {name: [_round(v) for v in bootstrap(sample, mean, seed=SEED)] for name, mean in wanted.items()}


_MEANS = {"length": mean_length, "width": mean_width, "q": mean_q}


def _round(value: float | None) -> float | None:
    """Six significant digits: far below any uncertainty, without noise of the last bit."""
    return None if value is None else float(f"{value:.6g}")


def scale_json(scale: Scale, width: int, height: int) -> dict[str, Any]:
    d = scale.divisions
    return {
        "um_per_px": scale.um_per_px, "uncertainty_um_per_px": 2 * scale.relative_u * scale.um_per_px,
        "relative_uncertainty": 2 * scale.relative_u, "period_px": d.period_px, "lines": d.lines,
        "angle_deg": d.angle_deg, "residuals_px": list(d.residuals_px), "bend": d.bend, "width_px": width,
        "height_px": height, "parts": {name: 2 * u for name, u in scale.parts}, "remarks": list(scale.remarks),
    }  # fmt: skip


# Words


def spores_text(sample: Sample, summary: Summary, found: Detection | None) -> str:
    lines = [notation(summary)]
    if summary.shape_class is not None:
        lines.append(f"Shape by the range of Q, if the spores are ellipsoid: {summary.shape_class}.")
    lines += _more(summary)
    if summary.odd:
        places = ", ".join(str(i + 1) for i in summary.odd)
        lines.append(f"Far from the rest, and counted all the same: spore {places}. Look at them again.")
    if found is not None:
        lines += _set_aside(found)
        lines += found.remarks
    return "\n".join([*lines, CONVENTION])


def _more(summary: Summary) -> list[str]:
    if summary.length.sd is None:
        return []
    need = how_many(summary.length, half_width=WISHED_SHARE * summary.length.mean)
    enough = f"Beyond about {need.enough} spores of one collection, more hardly help to tell kinds apart."
    if need.more:
        return [f"For ± {WISHED_SHARE:.0%} of the mean length {need.more} more spores are needed. {enough}"]
    return [f"The mean length of this collection is known to ± {WISHED_SHARE:.0%}. {enough}"]


def _set_aside(found: Detection) -> list[str]:
    counted: dict[str, int] = {}
    for body in found.rejected:
        counted[body.reason] = counted.get(body.reason, 0) + 1
    return [f"Set aside: {count} × {reason}." for reason, count in sorted(counted.items())]


def scale_text(scale: Scale) -> str:
    d = scale.divisions
    worst = max(abs(r) for r in d.residuals_px)
    lines = [
        f"{scale.um_per_px:.6g} µm per pixel ± {2 * scale.relative_u * scale.um_per_px:.2g} (k = 2), "
        f"that is ± {2 * scale.relative_u:.2%}.",
        f"{d.lines} lines, {d.period_px:.4f} pixels from one to the next, at {d.angle_deg:.2f}°; "
        f"the line furthest from even spacing is {worst:.2f} pixels off.",
    ]
    lines += [f"  {name}: ± {2 * u:.3%}" for name, u in scale.parts]
    return "\n".join([*lines, *scale.remarks])
