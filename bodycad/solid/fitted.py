"""The instrument put together, by solids: what parts and strings share with the finished wood,
beside what `assembly` holds of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from bodycad.checks.finding import Finding
from bodycad.checks.rules.assembly import Claim
from bodycad.errors import BodycadError
from bodycad.geometry.solids.solid import Box3, Point3
from bodycad.solid import kernel, occ
from bodycad.solid.compare import AGREE, CURE, at_most

CODE = "proof.assembly"


@dataclass(frozen=True)
class Share:
    """What a solid and the wood share: how thick (mm) the thickest lump of it is, and its middle.
    thick is twice the lump's volume over its surface, the true thickness of a skin; no lump without
    holes is less wide than that."""

    thick: float
    at: Point3


def proven(claims: Iterable[Claim], wood: Mapping[str, occ.Shape]) -> tuple[Finding, ...]:
    """An error for each solid of which claim and kernel disagree, then one line that sums up.
    `wood`: the finished workpieces by id, each where it sits on the instrument."""
    boxes = {name: kernel.rough_box(shape) for name, shape in wood.items()}
    faults, near, largest, asked = list[Finding](), 0, 0.0, 0
    for claim in claims:
        asked += 1
        if not _meet(claim.shape.box, boxes[claim.piece]):
            found = Share(0.0, _middle(claim.shape.box))
        else:
            near += 1
            try:
                found = share(wood[claim.piece], kernel.solid_of(claim.shape, claim.id), claim.id)
            except BodycadError as err:
                text = f"{claim.id} in {claim.piece} (assembly): the kernel cannot tell: {err}"
                faults.append(_error(claim, text))
                continue
        largest = max(largest, found.thick - claim.deep)
        faults += _disagreement(claim, found)
    text = f"{asked} rooms and strings put into the solids, {near} of them near wood, largest skin "
    text = f"{text}shared beyond what the checks say {largest:.4f} mm"
    return (*faults, Finding(CODE, "pass", (), text))


def share(wood: occ.Shape, solid: occ.Shape, name: str) -> Share:
    """What a solid and the wood share. Raises SolidError where the kernel refuses."""
    with kernel.step(f"what {name} shares with the wood"):
        lumps = wood.intersect(solid).Solids()
        best = Share(0.0, solid.Center().toTuple())
        for lump in lumps:
            thick = 2.0 * abs(kernel.volume(lump)) / lump.Area()
            if thick > best.thick:
                best = Share(thick, kernel.centre(lump))
    return best


def _disagreement(claim: Claim, found: Share) -> Sequence[Finding]:
    """The error where a solid shares more than is said, or nothing where it is said to stand in the
    wood."""
    slack = claim.bound + AGREE
    said = f"stands {claim.deep:.3f} mm deep" if claim.deep else "is clear"
    words = f"{claim.id} in {claim.piece} (assembly): {said} by the checks"
    if found.thick > claim.deep + slack:
        text = f"{words}, shares a lump {found.thick:.3f} mm thick by the kernel"
        limit = claim.deep + slack
    elif claim.deep > slack and found.thick == 0.0:
        text, limit = f"{words}, shares nothing by the kernel", 0.0
    else:
        return ()
    value = abs(found.thick - claim.deep)
    subjects, at = (claim.id, claim.piece), (found.at, found.at)
    return (at_most("error", CODE, subjects, text, value, limit, CURE, at=at),)


def _error(claim: Claim, text: str) -> Finding:
    return Finding(CODE, "error", (claim.id, claim.piece), text, cure=CURE)


def _meet(one: Sequence[float], two: Box3) -> bool:
    """Whether two boxes share room."""
    return all(one[k] < two[k + 3] and two[k] < one[k + 3] for k in range(3))


def _middle(box: Sequence[float]) -> Point3:
    x, y, z = ((box[k] + box[k + 3]) / 2.0 for k in range(3))
    return x, y, z
