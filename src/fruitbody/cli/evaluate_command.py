"""`fruitbody evaluate` and `fruitbody fit`: how good the engine is, and its parameters fitted."""

from __future__ import annotations

import argparse
import datetime
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from fruitbody import funga
from fruitbody.cli.identify_command import read_case
from fruitbody.identify.parameters import FIT, fitted

LITERATURE = Path("tests/literature/specimens")
SHOWN = (
    ("log_score", "log score"), ("brier", "Brier"), ("top_1", "first"), ("top_3", "of 3"), ("top_10", "of 10"),
    ("genus", "genus"), ("proposal_right", "right"), ("unjustified", "unjust."), ("set_of_90", "set .9"),
    ("slope", "slope"), ("ece", "ECE"), ("rank_species", "species"), ("rank_genus", "genus"),
)  # fmt: skip


def add(commands: Any) -> None:
    one = commands.add_parser("evaluate", help="measure how good the engine is", description=__doc__)
    one.add_argument("--per-taxon", type=int, default=80, metavar="N", help="specimens of each taxon (default 80)")
    one.add_argument("--rungs", default="R0,R1,R2,R3", help="rungs of trouble, by commas (default all)")
    one.add_argument("--depths", default="poor,macroscopic,microscopy", help="depths of examination (default all)")
    one.add_argument("--seed", type=int, default=None, metavar="N", help="another seed than the usual one")
    one.add_argument("--jobs", type=int, default=2, metavar="N", help="processes (default 2)")
    one.add_argument("--json", type=Path, default=None, metavar="FILE", help="where to write the figures")
    one.add_argument("--quick", action="store_true", help="four specimens of each taxon; writes no figures of its own")
    one.add_argument("--literature", type=Path, default=LITERATURE, help="folder of published specimens")
    one.set_defaults(run=run_evaluate)
    one = commands.add_parser("fit", help="fit the engine's parameters", description=__doc__)
    one.add_argument("--jobs", type=int, default=2, metavar="N", help="processes (default 2)")
    one.add_argument("--out", type=Path, default=FIT, metavar="FILE", help="where to write the values")
    one.set_defaults(run=run_fit)


def run_evaluate(options: argparse.Namespace) -> int:
    from fruitbody.identify.trial import record, run
    from fruitbody.identify.trial.plan import DEPTHS
    from fruitbody.identify.trial.seeds import TRAINING, TRIAL
    from fruitbody.identify.trial.specimens import RUNGS

    if options.per_taxon < 1 or options.jobs < 1:
        raise ValueError("“--per-taxon” and “--jobs” are whole numbers from 1.")
    seed = TRIAL if options.seed is None else options.seed
    if seed == TRAINING:
        raise ValueError(
            f"Seed {TRAINING} is the fit's own. Take another, so that the figures are not those of training."
        )
    plan = run.Plan(
        per_taxon=4 if options.quick else options.per_taxon,
        rungs=_words("rungs", options.rungs, RUNGS),
        depths=_words("depths", options.depths, DEPTHS),
        seed=seed,
        jobs=options.jobs,
        danger_cases=600 if options.quick else run.DANGER_CASES,
        own_cases=1_000 if options.quick else run.OWN_CASES,
    )
    known, parameters = funga.load(), fitted()
    found = run.run(known, parameters, plan, tell=_tell)
    today = datetime.datetime.now(datetime.UTC).date().isoformat()
    figures = record.record(known, parameters, plan, found, date=today)
    figures |= record.peers(known, parameters, found)
    if options.literature.is_dir():
        figures |= record.literature(known, parameters, options.literature, lambda data: read_case(known, data)[0])
    print(as_text(figures))
    target = options.json or (None if options.quick else record.FIGURES)
    if target is not None:
        target.write_text(json.dumps(rounded(figures), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        _tell(f"Figures are in {target}.")
    return 0


def run_fit(options: argparse.Namespace) -> int:
    from fruitbody.identify.trial.fitted_file import fit

    try:
        text = fit(funga.load(), jobs=options.jobs, tell=_tell)
    except ImportError:
        raise ValueError("The fit needs SciPy: install it (pip install scipy) and run “fruitbody fit” again.") from None
    options.out.write_text(text, encoding="utf-8")
    print(text, end="")
    return 0


def _tell(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _words(name: str, text: str, known: Sequence[str]) -> tuple[str, ...]:
    words = tuple(word.strip() for word in text.split(",") if word.strip())
    for word in words:
        if word not in known:
            raise ValueError(f"“--{name}” knows {', '.join(known)}, not “{word}”.")
    if not words:
        raise ValueError(f"“--{name}” wants at least one of {', '.join(known)}.")
    return tuple(word for word in known if word in words)


def rounded(value: Any) -> Any:
    """Numbers to five significant digits; what is no number becomes nothing."""
    if isinstance(value, float):
        return float(f"{value:.5g}") if value == value and abs(value) != float("inf") else None
    if isinstance(value, Mapping):
        return {key: rounded(one) for key, one in value.items()}
    return [rounded(one) for one in value] if isinstance(value, list | tuple) else value


def as_text(figures: Mapping[str, Any]) -> str:
    """The table for a reader at the terminal."""
    lines = [
        f"{figures['taxa']} taxa, {figures['per_taxon']} specimens of each at every rung and depth; "
        f"funga {figures['funga'][:12]}.",
        "",
        f"{'':18}" + "".join(f"{words:>10}" for _, words in SHOWN),
    ]
    for rung, depths in figures["figures"].items():
        lines += [
            f"{rung + ' ' + depth:18}" + "".join(_shown(cells, key) for key, _ in SHOWN)
            for depth, cells in depths.items()
        ]
    lines += ["", "With the kind taken out of the funga (R2)"]
    for depth, cells in figures["figures"].get("R2", {}).items():
        genus, bare, named = (cells[key]["value"] for key in ("out_genus", "out_bare", "out_named"))
        lines.append(
            f"  {depth}: none of these with species, genus, family out "
            + ", ".join(f"{cells[f'none_{level}']['value']:.2f}" for level in ("species", "genus", "family"))
            + f" at {cells['false_alarms']['value']:.3f} false alarms; species out: genus named {genus:.2f}"
            + f" (without cf. {bare:.2f}), a wrong species {named:.2f}"
        )
    lines += _goals(figures["goals"]) + _danger("Simulated (R3)", figures["danger"])
    lines += _peers(figures) + _literature(figures.get("literature", {}))
    return "\n".join(lines)


def _shown(cells: Mapping[str, Any], key: str) -> str:
    value = cells.get(key, {}).get("value")
    return f"{'–':>10}" if value is None else f"{value:10.3f}"


def _goals(goals: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = ["", "Goals"]
    for goal in goals:
        words = (("least", "at least"), ("most", "at most"))
        limit = " and ".join(f"{said} {goal[key]:g}" for key, said in words if key in goal)
        spread = f" ({goal['low']:.3f} to {goal['high']:.3f})" if "low" in goal else ""
        lines.append(
            f"  {'met   ' if goal['met'] else 'missed'}  {goal['words']}: {goal['value']:.3f}{spread}, goal {limit}"
        )
    return lines


def _danger(words: str, danger: Mapping[str, Any]) -> list[str]:
    if not danger:
        return []
    return [
        "",
        f"{words}: dangerous kinds wrongly excluded {danger['wrong']} of {danger['n']} (rate at most "
        f"{danger['wrong_at_most']:.1e}); with any one clinic finding falsified {danger['adversary']}.",
    ]


def _peers(figures: Mapping[str, Any]) -> list[str]:
    if "peers" not in figures:
        return ["", figures.get("peers_missing", "")]
    lines = ["", "Beside plain methods, on the same specimens (ours − theirs)"]
    for one in figures["peers"]:
        lines.append(
            f"  {one['rung']} {one['depth']}, {one['peer']}, {one['figure']}: {one['ours']:.3f} − {one['theirs']:.3f}"
            f" = {one['difference']:+.3f} ({one['low']:+.3f} to {one['high']:+.3f})"
        )
    return lines


def _literature(found: Mapping[str, Any]) -> list[str]:
    if not found:
        return ["", "No published specimens were found (--literature FOLDER)."]
    lines = ["", f"Published specimens: {len(found['specimens'])}"]
    for key, words in SHOWN:
        if key in found["figures"]:
            one = found["figures"][key]
            spread = f" ({one['low']:.3f} to {one['high']:.3f})" if "low" in one else ""
            lines.append(f"  {words}: {one['value']:.3f}{spread}")
    strangers = found["strangers"]
    lines.append(f"  not in the funga: proposal right {strangers['proposal_right']} of {strangers['n']}")
    return lines + _danger("Published", found["danger"])
