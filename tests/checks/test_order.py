"""`cut-order`: an order that a maker can follow, and the rules that allow none."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from bodycad.checks.order.jobs import Work, jobs
from bodycad.checks.order.rules import Rule, Why, rules
from bodycad.checks.order.sequence import ordered, sequence
from bodycad.checks.rules.order import cut_order
from tests.checks.walk import complaints, everything
from tests.drawn import NAMES, layout_of


@pytest.mark.parametrize("name", NAMES)
def test_a_maker_who_follows_it_misses_nothing(name):
    layout = layout_of(name)
    assert list(complaints(layout, sequence(layout).jobs)) == []


@pytest.mark.parametrize("name", NAMES)
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


def test_every_reason_is_met_in_the_gallery():
    """Or in a body of its own below."""
    met = {rule.why for name in NAMES for rule in sequence(layout_of(name)).rules}
    assert set(Why) - met == {Why.RIM, Why.NESTED} - met


def test_two_rules_that_want_each_other_first_are_named():
    layout = layout_of("teasel")
    todo = tuple(jobs(layout))
    own = rules(layout, todo)
    spoiled = (*own, Rule("body.contour.heel", "neck.bolt.3.seat", Why.OPEN))
    clash = ordered(layout, todo, spoiled).clash
    assert {(r.first, r.then) for r in clash} >= {("body.contour.heel", "neck.bolt.3.seat")}
    ring = [rule.first for rule in clash]
    assert [rule.then for rule in clash] == [*ring[1:], ring[0]]
    layout = replace(layout)
    layout.memo[("sequence",)] = ordered(layout, todo, spoiled)
    found = next(f for f in cut_order(layout) if f.code == "cut-order.clash")
    assert found.status == "fail"
    assert set(found.subjects) == set(ring)
    assert all(f"{r.first} comes before {r.then}" in found.text for r in clash)
