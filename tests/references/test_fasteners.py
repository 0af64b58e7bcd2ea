"""Screws in wood against the Wood Handbook and the National Design Specification for Wood
Construction. 1 lb = 4.4482216 N, 1 in = 25.4 mm."""

import pytest

from bodycad.errors import InputError
from bodycad.fasteners import PILOT_SHARE, ROOT_SHARE, SCREW, screw_slip, screw_withdrawal
from bodycad.shop import LIMITS
from bodycad.units import inch

N_PER_LB = 4.4482216152605
LB_PER_IN = N_PER_LB / 25.4
CUT_ROOTS = {4: 0.075, 6: 0.094, 8: 0.112, 10: 0.130}
"""Root of a cut wood screw in inches, measured average, by screw number (from memory)."""


def thread(number: int) -> float:
    """Thread diameter in inches of a screw number: 0.060 + 0.013 N (ASME B18.6.1, from memory)."""
    return 0.060 + 0.013 * number


def allowed(gravity: float, diameter: float) -> float:
    """lb per inch of thread that the National Design Specification for Wood Construction allows a
    wood screw in side grain: 2850 G^2 D, D in inches."""
    return 2850.0 * gravity**2 * diameter


def test_number_8_screw_in_hard_wood():
    """Wood Handbook (USDA FPL-GTR-190, 2010) ch. 8: 15,700 G^2 D L. No. 8 (0.164 in), 1 in of
    thread, G 0.70: 1262 lb (computed)."""
    assert screw_withdrawal(0.70, inch(0.164), inch(1)) / N_PER_LB == pytest.approx(1262, abs=0.6)


def test_the_metric_constant_is_the_inch_one():
    """15,700 lb/in3 in N and mm: 108.248 (computed)."""
    assert pytest.approx(15700 * N_PER_LB / 25.4**2, rel=3e-5) == SCREW


def test_the_allowed_load():
    """At G 0.45 and 0.190 in: 109.65 lb/in (computed)."""
    assert int(allowed(0.45, 0.190)) == 109


def test_the_safety_that_joint_load_warns_of_is_that_of_the_allowed_load():
    """Ultimate over allowed: 15,700 / 2850 = 5.51, whatever the screw."""
    share = screw_withdrawal(0.63, inch(thread(8)), 1.0) / (allowed(0.63, thread(8)) * LB_PER_IN)
    assert share == pytest.approx(15700 / 2850, rel=3e-5)
    assert LIMITS["joint-load"].warn == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("number", CUT_ROOTS)
def test_root_and_pilot_of_a_cut_thread(number):
    """Two thirds of the thread, to 3 %; the pilot is 90 % of that (Wood Handbook ch. 8; the roots
    from memory)."""
    assert pytest.approx(CUT_ROOTS[number] / thread(number), rel=0.03) == ROOT_SHARE
    assert PILOT_SHARE * thread(number) == pytest.approx(0.9 * CUT_ROOTS[number], rel=0.03)


@pytest.mark.parametrize("given", [(410, 4, 15), (0.4, -4, 15), (0.4, 4, -1), ("0.4", 4, 15)])
def test_bad_input(given):
    with pytest.raises(InputError):
        screw_withdrawal(*given)


@pytest.mark.parametrize("gravity, k", [(0.41, 3360), (0.50, 4640), (0.63, 6400)])
def test_a_screw_pushed_aside(gravity, k):
    """Wood Handbook ch. 8, table of test loads: K D^2 with K = 3360, 4640 and 6400 lb/in2 for
    hardwoods of 0.33-0.47, 0.48-0.56 and 0.57-0.74 (from memory). A No. 8 screw, deep enough."""
    pounds = screw_slip(gravity, inch(0.164), inch(7 * 0.164)) / N_PER_LB
    assert pounds == pytest.approx(k * 0.164**2, rel=2e-2)
    assert screw_slip(gravity, 4.0, 14.0) == pytest.approx(screw_slip(gravity, 4.0) / 2.0)


def test_a_screw_pushed_aside_in_light_wood():
    """Under the table's lightest wood it falls in proportion to the gravity."""
    assert screw_slip(0.165, 4.0) == pytest.approx(screw_slip(0.33, 4.0) / 2.0)
    for given in ((410, 4, 15), (0.4, -4, 15), (0.4, 4, -1)):
        with pytest.raises(InputError):
            screw_slip(*given)
