"""The fits through a season: wood takes up and gives off water, and moves across its grain.

Not a check of its own: the checks of pocket, cover, ring and ferrules add these findings to theirs.

Model: body and neck hold `blank.moisture` percent when they are cut and measured, and settle to the
driest and the dampest air of the shop (Wood Handbook eqs. 4-5, 13-2, 13-3). The grain runs along x.
Both boards are taken as flatsawn (they move most) unless the blank or the joint has a `grain` of
"radial". Finish slows the change and a season is short, so a real instrument moves less: advice,
never a failure. Metal and plastic are taken not to move.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from bodycad.checks.finding import Finding, advise, skip, witness
from bodycad.checks.rules.loads import neck_species
from bodycad.checks.rules.neck import film_of, side_play
from bodycad.checks.rules.pickups import hides, rings
from bodycad.checks.rules.seated import necks
from bodycad.checks.strings_served import string_holes
from bodycad.checks.wood.near import room_inside
from bodycad.errors import InputError
from bodycad.layout.interface import Fit
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.moisture import equilibrium_moisture, movement, moves
from bodycad.wood import Species
from bodycad.words import FitKind, Mount

FLATSAWN = "tangential"
"""The width of a flatsawn board runs along the growth rings."""
CUT = {"tangential": "flatsawn", "radial": "quartersawn"}


@dataclass(frozen=True)
class Season:
    """Moisture in percent when cut, in the driest and in the dampest air, and those airs'
    humidity."""

    cut: float
    dry: float
    damp: float
    humidity: tuple[float, float]

    def growth(self, size: float, wood: Species, direction: str = FLATSAWN) -> tuple[float, float]:
        """mm by which `size` mm across the grain changes from cutting to the dry and to the damp
        end."""
        dry, damp = (movement(size, wood, direction, self.cut, m) for m in (self.dry, self.damp))
        return dry, damp

    @property
    def names(self) -> tuple[str, str]:
        """The two ends in words."""
        dry, damp = (
            f"at {h:g} % humidity ({m:.1f} % moisture)"
            for h, m in zip(self.humidity, (self.dry, self.damp), strict=True)
        )
        return dry, damp


def season(layout: Layout) -> Season:
    """The layout's season: its blank's moisture and its shop's air."""
    shop = layout.shop
    air, damp_air = shop.humidity
    dry, damp = (equilibrium_moisture(shop.temperature, h) for h in (air, damp_air))
    return Season(layout.blank.moisture, dry, damp, (air, damp_air))


def body_direction(layout: Layout) -> str:
    """The blank's width to its growth rings: as its `grain` says, else flatsawn."""
    found = getattr(layout.blank, "grain", None) or FLATSAWN
    if found not in CUT:
        remedy = "radial is quartersawn, tangential flatsawn"
        raise InputError("the grain of a board", found, ", ".join(CUT), remedy)
    return found


def _known(check: str, *woods: tuple[Species, str]) -> Finding | None:
    for wood, direction in woods:
        if not moves(wood, direction):
            words = f"how {wood.name} moves through a season is not known"
            return skip(check, f"{words}: give its {direction} shrinkage")
    return None


def season_pocket(layout: Layout) -> Iterator[Finding]:
    """Least side play of heel in pocket at both ends of the season, as finished. A glued neck has
    none to lose."""
    now, wide, body = season(layout), body_direction(layout), layout.blank.species
    for neck in necks(layout):
        if neck.joint.mount == Mount.GLUE:
            continue
        subjects, (wood, _) = (neck.joint.pocket, neck.joint.heel), neck_species(neck.joint)
        grain, depth = neck.joint.grain, neck.depth
        if missing := _known("pocket-fit", (body, wide), (wood, grain)):
            yield replace(missing, subjects=subjects)
            continue
        play = side_play(neck) - film_of(layout, neck)[0]
        _, low, _, high = neck.outlines[0].box  # of a block with curved sides
        ends, rows = neck.widths or ((high - low,) * 2,) * 2, []
        for block, socket, along in zip(*ends, (0.0, neck.length)):
            pair = now.growth(socket, body, wide), now.growth(block, wood, grain)
            spot = (*neck.place.point(along, block / 2.0), -depth)
            rows += [(play + a - b, when, b > 0.0, spot) for a, b, when in zip(*pair, now.names)]
        least, when, swells, spot = min(rows)
        boards = f"{CUT[grain]} {wood.name} in {CUT[wide]} {body.name}"
        words = f"{least:.2f} mm of side play as finished once settled {when}, {boards}"
        told = ["give the pocket more side clearance"]
        told += ["mask it before finishing"] if film_of(layout, neck)[0] > 0.0 else []
        told += ["use a quartersawn neck"] if grain == FLATSAWN and swells else []
        cure, limit = ", or ".join(told), layout.shop.limit("pocket-fit.season")
        yield advise(subjects, least, limit, words, cure, at=(spot, spot))


def season_cover(layout: Layout) -> Iterator[Finding]:
    """Least gap round each cover across the grain at both ends of the season, as finished; the
    cover itself does not move."""
    now, wide, wood = season(layout), body_direction(layout), layout.blank.species
    covers = [fit for fit in layout.stated(Fit) if fit.kind is FitKind.COVER]
    if covers and (missing := _known("cover-fit", (wood, wide))):
        yield missing
        return
    for fit in covers:
        recess, plate = layout.by_id[fit.outer], layout.rooms_by_id[fit.room].shape
        x0, y0, _, x1, y1, _ = recess.shape.box
        gap = room_inside(layout, plate.plan, recess.shape.plan)[0]
        gap -= 0.0 if fit.masked else layout.shop.finish
        changes = now.growth(y1 - y0, wood, wide)
        least, words = min(zip((gap + change / 2.0 for change in changes), now.names))
        middle = ((x0 + x1) / 2.0, y1, recess.high)
        limit = layout.shop.limit("cover-fit.season")
        where = f"on each side of {fit.part}'s {fit.name} across the grain"
        text = f"{least:.2f} mm {where} {words}, once finished"
        cure = "give the cover more gap, or cut it after the body has settled in dry air"
        yield advise((fit.room, recess.id), least, limit, text, cure, at=(middle, middle))


def season_ring(layout: Layout) -> Iterator[Finding]:
    """How far each ring still hides its route at both ends of the season: the route widens across
    the grain."""
    now, wide, wood = season(layout), body_direction(layout), layout.blank.species
    stated = rings(layout)
    if stated and (missing := _known("ring-cover", (wood, wide))):
        yield missing
        return
    for one in stated:
        for name in one.voids:
            hidden, p, q = hides(layout, one, name)
            _, y0, _, _, y1, _ = layout.by_id[name].shape.box
            changes = now.growth(y1 - y0, wood, wide)
            least, words = min(zip((hidden - change / 2.0 for change in changes), now.names))
            subjects, limit = (one.part, name), layout.shop.limit("ring-cover")
            text = f"the {one.name} of {one.part} covers {name} by {least:.2f} mm {words}"
            cure = f"make {name} smaller or use a larger {one.name}"
            at, code = witness(p, q, 0.0), "ring-cover.season"
            yield advise(subjects, least, limit, text, cure, at=at, code=code)


def season_ferrules(layout: Layout) -> Iterator[Finding]:
    """How much the seats of each part's string holes close on their ferrules, or let them go,
    through the season; the widest of them."""
    now, wide, wood = season(layout), body_direction(layout), layout.blank.species
    seats: dict[str, list[Void]] = {}
    served = string_holes(layout)
    for one, _ in sorted(served, key=lambda f: f[1].number if f[1] else len(served)):
        if one.seat is not None:
            seats.setdefault(one.part, []).append(layout.by_id[one.seat])
    if seats and (missing := _known("ferrule-wall", (wood, wide))):
        yield missing
        return
    for row in seats.values():
        seat = max(row, key=lambda v: round(v.shape.box[4] - v.shape.box[1], 9))
        x0, y0, _, x1, y1, _ = seat.shape.box
        hole, spot = y1 - y0, ((x0 + x1) / 2.0, (y0 + y1) / 2.0, seat.low)
        changes = now.growth(hole, wood, wide)
        most, words = max(zip((abs(c) for c in changes), now.names, strict=True))
        way = "opens" if max(changes, key=abs) > 0.0 else "closes"
        limit = layout.shop.limit("ferrule-wall.season")
        text = f"each {hole:g} mm ferrule hole {way} by {most:.3f} mm across the grain {words}"
        cure = "let the ferrules in with a little glue, or cut the holes in wood that has settled"
        yield advise((seat.id,), most, limit, text, cure, at=(spot, spot))
