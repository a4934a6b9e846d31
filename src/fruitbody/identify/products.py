"""A parent taken together with its children, kept within a case so that one more finding costs a few multiplications.

States of the parent that enable the same children are taken together: each such set is a pattern. K: patterns.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.identify.tables import Factor, StateTable, Table

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
ONE = np.ones((1, 1, 1))


@dataclass(frozen=True, slots=True)
class Link:
    """The product of one group's children up to and with this one: where the group holds, where it fails, and for the
    reference: [K, A, R], [K, A, R], [K]."""

    child: str
    factor: Factor
    holds: Array
    fails: Array
    base: Array


class Joint:
    """Σ over the parent's true state of P(state) Π over children. Children of the parent's own group hold or fail with
    it; every other group of children is mixed on the spot."""

    def __init__(self, table: StateTable, children: Sequence[Table], failure: Mapping[str, float]) -> None:
        self.table, self.failure = table, failure
        enabled = np.array([child.enabled for child in children])
        codes = ((1 << np.arange(len(children))) @ enabled).tolist()
        different = list(dict.fromkeys(codes))
        self.onto = np.array([[float(code == one) for code in codes] for one in different])
        masks = enabled[:, [codes.index(one) for one in different]]
        self.on: dict[str, Mask] = {child.id: mask for child, mask in zip(children, masks, strict=True)}
        self.chains: dict[str, list[Link]] = {}
        self.sides: dict[str, tuple[Array, Array]] = {}
        self.active = ""
        self.rest: tuple[Array, Array] | None = None
        self.weigh(np.ones(table.background.size))

    def weigh(self, r: Array) -> None:
        """r: P(reports on the parent | its state), [S]."""
        shares = self.onto * r
        self.weight_t = np.ascontiguousarray(np.moveaxis(self.table.p @ shares.T, 2, 0))
        self.weight_b = shares @ self.table.background
        self.rest = None

    def put(self, child: Table, factor: Factor) -> None:
        """Take in a child's factor, in place of the one it had."""
        chain = self.chains.setdefault(child.group, [])
        place = next((i for i, link in enumerate(chain) if link.child == child.id), len(chain))
        later = [(link.child, link.factor) for link in chain[place + 1 :]]
        del chain[place:]
        for name, one in ((child.id, factor), *later):
            chain.append(self._link(chain[-1] if chain else None, name, one))
        last = chain[-1]
        if child.group == self.table.group:
            self.sides[child.group] = last.holds, last.fails
        else:
            pi = self.failure.get(child.group, 0.0)
            mixed = (1 - pi) * last.holds + pi * last.fails
            self.sides[child.group] = mixed, mixed
        if child.group != self.active:
            self.active, self.rest = child.group, None

    def _link(self, before: Link | None, child: str, factor: Factor) -> Link:
        on = self.on[child]
        rows = on[:, None, None]
        holds, fails = np.where(rows, factor.t, factor.na), np.where(rows, factor.b, factor.na)
        base = np.where(on, 1.0, factor.na)
        if before is None:
            return Link(child, factor, holds, fails, base)
        return Link(child, factor, before.holds * holds, before.fails * fails, before.base * base)

    def factor(self, na: float) -> Factor:
        """The parent with all its children; na: P(reports on the parent | it does not apply)."""
        if self.rest is None:
            t, b = self.weight_t, self.weight_b[:, None, None]
            for group, (holds, fails) in self.sides.items():
                if group != self.active:
                    t, b = t * holds, b * fails
            self.rest = t, b
        scale = self.weight_b.copy()
        for chain in self.chains.values():
            scale = scale * chain[-1].base
            for link in chain:
                na = na * link.factor.na
        total = float(scale.sum())
        holds, fails = self.sides.get(self.active, (ONE, ONE))
        return Factor(
            (self.rest[0] * holds).sum(axis=0) / total, (self.rest[1] * fails).sum(axis=0) / total, na / total
        )
