"""A taxon's spore cloud with what it is taken for behind it: the drawing, and the words that belong to it."""

from __future__ import annotations

from dataclasses import dataclass

from fruitbody.funga.model import Funga, Taxon
from fruitbody.identify.spore_cloud import SPORES, spore_cloud
from fruitbody.report.cloud_picture import cloud_picture
from fruitbody.report.drawings import cloud_svg

CAPTION = (
    f"Each outline holds means of {SPORES} spores: of this kind half within the inner one and nine tenths within the "
    "outer one, of the numbered kinds nine tenths. Dotted lines: so many times as long as wide."
)


@dataclass(frozen=True, slots=True)
class CloudFigure:
    """svg: the drawing; words: what it says, for who cannot see it; drawn: kinds behind it, in order of their numbers
    from 1; beyond: kinds whose spores lie off the picture; unknown: kinds without known spores."""

    svg: str
    words: str
    drawn: tuple[Taxon, ...]
    beyond: tuple[Taxon, ...]
    unknown: tuple[Taxon, ...]


def cloud_figure(funga: Funga, taxon: Taxon) -> CloudFigure | None:
    """The figure; None where the taxon's own spores are not known."""
    own = spore_cloud(taxon)
    if own is None:
        return None
    taken_for = [funga.taxa[p.taxon] for p in taxon.taken_for if p.taxon in funga.taxa]
    clouds = {t.id: cloud for t in taken_for if (cloud := spore_cloud(t)) is not None}
    picture = cloud_picture(own, [(t.id, clouds[t.id]) for t in taken_for if t.id in clouds])
    drawn = tuple(funga.taxa[key] for key in picture.drawn)
    words = _words(taxon.name, own.centre) + "".join(
        f" {number}, {t.name}: {_middle(clouds[t.id].centre)}." for number, t in enumerate(drawn, start=1)
    )
    return CloudFigure(
        svg=cloud_svg(picture, words),
        words=words,
        drawn=drawn,
        beyond=tuple(funga.taxa[key] for key in picture.beyond),
        unknown=tuple(t for t in taken_for if t.id not in clouds),
    )


def _words(name: str, centre: tuple[float, float]) -> str:
    return f"Spore cloud, length against width. {name}: {_middle(centre)}."


def _middle(centre: tuple[float, float]) -> str:
    return f"the middle at {centre[0]:.1f} µm long and {centre[1]:.1f} µm wide"
