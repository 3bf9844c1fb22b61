"""Draft of ground tools.

The horizontal pull a tool needs on level ground, its own rolling resistance included:

    D = F (A + B S + C S^2) W T

with draft ``D`` [N], texture factor ``F`` [1], speed ``S`` [km/h], width ``W`` [m, tools or
rows], depth ``T`` [cm]; ``T`` is 1 for minor tillage and seeding tools. The coefficients come
from a table (after ASAE D497), whose range column is the spread between machines, soils and
adjustments.
"""

from typing import NamedTuple

from drawbar_service.engine.arrays import STANDARD_GRAVITY, Real

KM_PER_H = 3.6
"""One metre per second in kilometres per hour."""
CM_PER_M = 100.0


class DraftTerms(NamedTuple):
    """Draft as a polynomial in speed: ``constant + linear v + quadratic v^2``, v in m/s."""

    constant: Real
    """[N]"""
    linear: Real
    """[N s/m]"""
    quadratic: Real
    """[N s^2/m^2]"""

    def at(self, speed: Real) -> Real:
        """Return the draft [N] at `speed` [m/s]."""
        return self.constant + speed * (self.linear + speed * self.quadratic)

    def plus(self, other: "DraftTerms", times: Real = 1.0) -> "DraftTerms":
        """Return the sum of these terms and `times` [1] the `other` ones."""
        return DraftTerms(
            self.constant + times * other.constant,
            self.linear + times * other.linear,
            self.quadratic + times * other.quadratic,
        )

    def times(self, factor: Real) -> "DraftTerms":
        """Return these terms times a `factor` [1]."""
        return DraftTerms(factor * self.constant, factor * self.linear, factor * self.quadratic)


NO_DRAFT = DraftTerms(0.0, 0.0, 0.0)
"""Of a machine that only rolls [N], [N s/m], [N s^2/m^2]."""


def draft_terms(a: Real, b: Real, c: Real, texture_factor: Real, width: Real, depth: Real | None) -> DraftTerms:
    """Return the draft of one ground tool as a polynomial in speed.

    Parameters
    ----------
    a, b, c : float or array
        Table coefficients [N], [N h/km], [N h^2/km^2] per unit of width and per cm of depth.
    texture_factor : float or array
        Soil texture factor F [1].
    width : float or array
        Width in the unit of the row: metres [m], or a number of tools or rows [1].
    depth : float, array or None
        Working depth [m]; None for a tool whose draft does not count depth (T = 1).

    Returns
    -------
    DraftTerms
        In SI: multiply out with :meth:`DraftTerms.at`.

    References
    ----------
    Form published; coefficients after ASAE D497 (from memory, not yet proof-read).
    """
    depth_cm = 1.0 if depth is None else CM_PER_M * depth
    scale = texture_factor * width * depth_cm
    return DraftTerms(scale * a, scale * b * KM_PER_H, scale * c * KM_PER_H**2)


def draft_in_tracks(share: Real, factor: Real) -> Real:
    """Return the draft of a set of tools over that of the same tools in soil without wheel tracks [1].

    Parameters
    ----------
    share : float or array
        Of the tools, those that run in wheel tracks [1].
    factor : float or array
        Draft of a tool in a track over that of one beside it [1]: about 2 for chisel and sweep tines in clay behind
        tractor or implement wheels (Tullberg 2000, abstract).

    Notes
    -----
    1 + share (factor - 1), for tools that are alike.
    """
    return 1.0 + share * (factor - 1.0)


def grade_resistance(mass: Real, sine: Real) -> Real:
    """Return the pull [N] that lifts `mass` [kg] up a grade whose angle has this `sine` [1].

    Positive uphill, negative downhill. From statics: m g sin(angle).
    """
    return mass * STANDARD_GRAVITY * sine
