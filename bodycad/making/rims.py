"""The edges of a face that a bit with a bearing cuts, as far as a neck lets it, and which bit cuts
each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Edge
from bodycad.layout.core import beside_neck
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.tools import EdgeBit
from bodycad.words import EdgeForm, Face


@dataclass(frozen=True, eq=False)
class Rim:
    """An edge that is no ledge. top: how far under the plain face it begins, mm. along: the chain
    of the outline that it follows, None for the whole. bit: what cuts it, None where no bit on hand
    does."""

    id: str
    edge: Edge
    top: float
    along: Segments | None
    bit: EdgeBit | None


def rims(piece: Workpiece, face: Face, shop: Shop) -> Iterator[Rim]:
    """Every edge of a face but its ledges."""
    skin = piece.skin
    name = f"{piece.id}.{face}.edge"
    given = [(name, skin.edge(face), None)] if skin.edge(face).drop else []
    own = [(f"{name}.{k}", r.edge, r.chain) for k, r in enumerate(skin.runs(face), 1)]
    for id_, edge, along in (*given, *own):
        if edge.form is not EdgeForm.STRAIGHT and edge.drop:
            top = max(depth for s, depth, _ in edge.rows if s >= edge.reach)
            bits = shop.bits_for(edge.form, edge.reach) if edge.form is not None else ()
            half = bits[0].bearing / 2.0 if bits else 0.0
            for way in beside_neck(piece, half, half + edge.reach, along):
                yield Rim(id_, edge, top, way, bits[0] if bits else None)
