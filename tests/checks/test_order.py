"""`cut-order`: an order that a maker can follow, and the rules that allow none."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from bodycad import (
    Bore,
    Ledge,
    Limit,
    Lowered,
    Prism,
    Roundover,
    Stretch,
    Void,
    arched_top,
    circle,
    fall_away,
    rectangle,
)
from bodycad.checks.order.jobs import Work, jobs
from bodycad.checks.order.rules import Rule, Why, _of_voids, rules
from bodycad.checks.order.sequence import ordered, sequence
from bodycad.checks.rules.order import cut_order
from tests.checks.walk import complaints, everything
from tests.drawn import ASKED, layout_of
from tests.strangers.bench import quoin


@pytest.mark.parametrize("name", ASKED)
def test_a_maker_who_follows_it_misses_nothing(name):
    layout = layout_of(name)
    assert list(complaints(layout, sequence(layout).jobs)) == []


@pytest.mark.parametrize("name", ASKED)
def test_everything_that_is_drawn_is_cut_once(name):
    layout = layout_of(name)
    cut = [job for job in sequence(layout).jobs if job.work.cuts]
    words = {Work.OUTLINE: "outline {}", Work.EDGE: "edge {}", Work.LEDGE: "edge {}"}
    found = [
        (j.piece.id, words[j.work].format(j.face) if j.work in words else j.ids[0]) for j in cut
    ]
    assert Counter(found) == Counter(everything(layout))


@pytest.mark.parametrize("name", ["teasel", "bramble", "campion", "yarrow"])
def test_no_rule_can_be_broken_unseen(name):
    """Of each kind of rule some: what it puts second is moved before what it puts first, and the
    walk objects."""
    layout = layout_of(name)
    order = sequence(layout)
    spots = {job.name: k for k, job in enumerate(order.jobs)}
    tried = Counter()
    for rule in order.rules:
        tried[rule.why] += 1
        if tried[rule.why] > 4:
            continue
        moved = list(order.jobs)
        job = moved.pop(spots[rule.then])
        moved.insert(spots[rule.first], job)
        assert next(complaints(layout, moved), None), f"{rule.then} before {rule.first}: {rule.why}"


def test_every_reason_is_met():
    """In the gallery, or by the bodies below."""
    met = {rule.why for name in ASKED for rule in sequence(layout_of(name)).rules}
    assert set(Why) - met <= {Why.RIM}


def test_two_rules_that_want_each_other_first_are_named():
    layout = layout_of("teasel")
    todo = tuple(jobs(layout))
    own = rules(layout, todo)
    assert ordered(layout, todo, own).given == ()
    spoiled = (*own, Rule("body:contour:contour.heel", "neck.bolt.4.seat", Why.OPEN))
    clash = ordered(layout, todo, spoiled).clash
    assert {(r.first, r.then) for r in clash} >= {("body:contour:contour.heel", "neck.bolt.4.seat")}
    ring = [rule.first for rule in clash]
    assert [rule.then for rule in clash] == [*ring[1:], ring[0]]
    layout = replace(layout)
    layout.memo[("sequence",)] = ordered(layout, todo, spoiled)
    found = next(f for f in cut_order(layout) if f.code == "cut-order.clash")
    assert found.status == "fail"
    assert set(found.subjects) == {"body.contour.heel", "neck.bolt.4.seat"}
    for one, two in (found.subjects, found.subjects[::-1]):
        assert f"{one} comes before {two}, for " in found.text


def quoin_with(skin_of):
    """The bench's body with another skin of its own outline."""
    design = quoin()
    return replace(design, skin=skin_of(design.skin)).layout()


def first(layout, one, two):
    """Whether a job comes before another in the order."""
    names = [job.name for job in sequence(layout).jobs]
    assert not sequence(layout).clash
    return names.index(one) < names.index(two)


def test_edges_that_want_each_other_first_fail_by_name():
    """Binding on the bass half of the front and on the treble half of the back, a roundover on the
    other half of each, and a carve across both halves of each face: each ledge follows its carve,
    each carve waits for its face's roundover, and each roundover for the strip on the far side."""
    carves = (
        fall_away("contour.front", "front", 44.0, (-100, 0), 180.0, run=30.0, drop=12.0),
        fall_away("contour.back", "back", 44.0, (-100, 0), 180.0, run=30.0, drop=12.0),
    )

    def skin(old):
        bass, treble = ((250, 0), (-130, 0)), ((-130, 0), (250, 0))
        front = Stretch(Ledge((1.5,), 6.0), *bass), Stretch(Roundover(4.0), *treble)
        back = Stretch(Roundover(4.0), *bass), Stretch(Ledge((1.5,), 6.0), *treble)
        return replace(old, front=front, back=back, contours=carves)

    layout = quoin_with(skin)
    found = next(f for f in cut_order(layout) if f.code == "cut-order.clash")
    assert found.status == "fail" and "contour.front" in " ".join(found.subjects)
    whys = {rule.why for rule in sequence(layout).clash}
    assert whys == {Why.BOUND, Why.BASE, Why.FOLLOWS, Why.STRIP}
    kept = quoin_with(lambda old: replace(skin(old), contours=carves[:1]))
    assert not sequence(kept).clash


def test_binding_and_roundover_that_share_no_corner_do_not_wait_for_each_other():
    def skin(old):
        front = Stretch(Ledge((1.5,), 6.0), (250, 0), (-130, 0))
        back = Stretch(Roundover(4.0), (-130, 0), (250, 0))
        return replace(old, front=front, back=back, contours=())

    assert Why.BOUND not in {rule.why for rule in sequence(quoin_with(skin)).rules}


def test_an_edge_on_a_carved_rim_follows_the_carve():
    """Of a roundover lowered to the rim of an arched front the arch comes first; of one at the
    plain face the router wants the face that the carve takes."""
    arch = arched_top("arch", "front", 44.0, circle(120.0, 60.0, 0.0), run=60.0, drop=6.0)
    edge = "edge:body.front.edge"
    low = quoin_with(lambda s: replace(s, front=Lowered(Roundover(3.0), 6.0), contours=(arch,)))
    high = quoin_with(lambda s: replace(s, front=Roundover(8.0), contours=(arch,)))
    assert first(low, "body:contour:arch", edge) and first(high, edge, "body:contour:arch")
    # The bit at the rim is run over the jack's bore, which waits; the back's roundover then waits
    # for the carve, though the work would lie better before it.
    given = {(rule.first, rule.then) for rule in sequence(low).given}
    assert given and all(rule.why.yields for rule in sequence(low).given)
    assert all(not first(low, *pair) for pair in given)


@pytest.mark.parametrize("face", ["front", "back", None])
def test_the_outline_comes_last_from_the_face_that_the_blank_says(face):
    design = quoin()
    layout = replace(design, blank=replace(design.blank, outline_from=face)).layout()
    order = sequence(layout)
    assert list(complaints(layout, order.jobs)) == []
    cut = [job for job in order.jobs if job.work is Work.OUTLINE and job.piece.id == "body"]
    assert [job.face for job in cut] == ([face] if face else ["front", "back"])
    flat = [job.name for job in order.jobs if job.hold == "flat" and job.piece.id == "body"]
    assert flat[-1] == cut[-1].name


def test_a_pin_under_a_deep_cut_is_told_with_the_wood_that_holds_it():
    """The pin stands 8 mm before the mouth of a pocket 17 mm deep, which is cleared for the neck;
    then in a pocket's own overrun."""
    design = quoin()
    layout = design.layout()
    (pin,) = [f for f in cut_order(layout) if f.code == "cut-order.pin"]
    assert pin.status == "pass" and pin.subjects == ("neck.waste", "pin.2")
    deep = layout.by_id["neck.pocket"]
    thin = replace(layout, shop=replace(layout.shop, limits={"cut-order.pin": Limit(40.0, 41.0)}))
    (held,) = [f for f in cut_order(thin) if f.code == "cut-order.pin"]
    assert held.status == "fail" and held.value == pytest.approx(44.0 + deep.low, abs=1e-6)


def test_without_pins_nothing_is_asked_of_them():
    design = quoin()
    layout = replace(design, blank=replace(design.blank, pins=())).layout()
    assert [f.status for f in cut_order(layout) if f.code == "cut-order.pin"] == ["skip"]
    assert list(complaints(layout, sequence(layout).jobs)) == []


def test_a_contour_or_a_hole_may_have_any_name():
    """Names of jobs at the bench are no one's to take."""
    carve = fall_away("plane", "front", 44.0, (-100, 0), 180.0, run=30.0, drop=12.0)
    layout = quoin_with(lambda old: replace(old, contours=(carve,)))
    order = sequence(layout)
    assert not order.clash and len({job.name for job in order.jobs}) == len(order.jobs)
    works = [job.work for job in order.jobs if job.piece.id == "body"]
    assert Work.PLANE in works and Work.CONTOUR in works


@pytest.mark.parametrize("high", [-12.0, -20.0])
def test_a_hole_that_begins_within_a_route_waits_for_it(high):
    """On the floor of a route 20 mm deep, or in its air: its depth cannot be set before."""
    layout = quoin().layout()
    piece = layout.body
    route = Void("zone.route", "zone", "front", "POCKET", Prism(rectangle(40, 30), -20.0, 0.0))
    hole = Void("down.hole", "down", "front", "BORE", Bore((5, 3, high), (0, 0, -1), 5.0, 15.0))
    plain = Void("up.hole", "up", "front", "BORE", Bore((-5, 3, 0), (0, 0, -1), 5.0, 35.0))
    made = replace(piece, voids=(hole, route, plain))
    found = {(r.first, r.then): r.why for r in _of_voids(made)}
    assert found["zone.route", "down.hole"] is Why.STARTS
    assert found["up.hole", "zone.route"] is Why.PLAIN
    assert ("down.hole", "zone.route") not in found
