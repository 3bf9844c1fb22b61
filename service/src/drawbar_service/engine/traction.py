"""What a wheel can push in soil, and what it costs to roll.

Symbols of ASABE S296: slip ``s``; gross traction ratio GTR = gross traction / load;
motion resistance ratio MRR = motion resistance / load; net traction ratio
NTR = GTR - MRR; tractive efficiency TE = (1 - s) NTR / GTR.

The working model is that of Brixius (1987), for bias tires, with the coefficients of
Zoz and Grisso (2003) for radial ones (both from memory, not yet proof-read). Wismer and
Luth (1974) and Gee-Clough et al. (1978) stand beside it as second opinions.
"""

import math
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, exp, larger, sqrt

_LEAST_CEILING = 1e-9
"""Stands for no traction where a rate is taken over it [1]."""
MAX_SLIP = 0.9
"""End of the range of slip that is searched for tires [1]."""


class TireModel(NamedTuple):
    """Coefficients of traction of one way of building a tire, by the mobility number Bn of the model.

    GTR = ceiling (1 - exp(-rate s)) + offset + gross_roll roll / Bn
    MRR = roll / Bn + offset + rolling + roll_slip s / sqrt(Bn)

    ceiling = gross_max (1 - exp(-load_rate Bn)) - lost / Bn, at least 0
    rate = slip_rate + rate_by_mobility Bn, over the ceiling where ``over_ceiling``

    Brixius needs the first six; the others are 0 there.
    """

    slip_rate: Real
    offset: Real
    """Rolling losses in the tire itself: the same constant in GTR and in MRR."""
    roll: Real
    gross_max: Real = 0.88
    load_rate: Real = 0.1
    roll_slip: Real = 0.5
    most_slip: Real = MAX_SLIP
    """End of the range of slip that is searched [1]."""
    rolling: Real = 0.0
    """Constant of MRR alone."""
    gross_roll: Real = 0.0
    """Share of roll / Bn that GTR has as well."""
    lost: Real = 0.0
    rate_by_mobility: Real = 0.0
    over_ceiling: bool = False


BIAS = TireModel(slip_rate=7.5, offset=0.04, roll=1.0)
"""Brixius (1987), after ASAE D497."""
RADIAL = TireModel(slip_rate=9.5, offset=0.0325, roll=0.9)
"""After Zoz and Grisso (2003)."""
WISMER_LUTH = TireModel(
    slip_rate=0.0,
    offset=0.0,
    roll=1.2,
    gross_max=0.75,
    load_rate=math.inf,
    roll_slip=0.0,
    rolling=0.04,
    rate_by_mobility=0.3,
)
"""Wismer and Luth (1974): :func:`wismer_luth_gross_ratio` in this form; its mobility number is the wheel numeric Cn."""
GEE_CLOUGH = TireModel(
    slip_rate=4.838,
    offset=0.049,
    roll=0.287,
    gross_max=0.796,
    load_rate=math.inf,
    roll_slip=0.0,
    gross_roll=1.0,
    lost=0.92,
    rate_by_mobility=0.061,
    over_ceiling=True,
)
"""Gee-Clough et al. (1978): :func:`gee_clough` in this form; its mobility number is M."""

WIDTH_TO_DIAMETER = (0.1, 0.7)
"""Stated range of b/d [1] of the Brixius equations."""
DEFLECTION_TO_HEIGHT = (0.10, 0.30)
"""Stated range of delta/h [1]."""
LOAD_TO_AREA = (15_000.0, 55_000.0)
"""Stated range of W/(b d) [Pa]."""


DEFLECTION_FACTOR, WIDTH_FACTOR = 5.0, 3.0
"""Of delta/h and of b/d in the mobility number of Brixius [1]."""
GEE_CLOUGH_WIDTH_FACTOR = 0.5
"""Of b/d in the mobility number of Gee-Clough et al. [1]."""


def wheel_stiffness(
    cone_index: Real,
    width: Real,
    diameter: Real,
    deflection_ratio: Real,
    deflection_factor: Real = DEFLECTION_FACTOR,
    width_factor: Real = WIDTH_FACTOR,
) -> Real:
    """Return the load [N] at which the mobility number of a tire is 1.

    Parameters
    ----------
    cone_index : float or array
        Soil cone index CI [Pa].
    width, diameter : float or array
        Unloaded section width b and overall diameter d [m].
    deflection_ratio : float or array
        Deflection over section height, delta/h [1].
    deflection_factor, width_factor : float or array
        K1 and K2, 5 and 3 after Brixius [1].

    Returns
    -------
    float or array
        CI b d (1 + K1 delta/h) / (1 + K2 b/d) [N]. Divided by the load on the tire it is Bn.

    References
    ----------
    Brixius (1987), after ASAE D497.
    """
    flexible, slender = 1.0 + deflection_factor * deflection_ratio, 1.0 + width_factor * width / diameter
    return cone_index * width * diameter * flexible / slender


def gee_clough_stiffness(
    cone_index: Real,
    width: Real,
    diameter: Real,
    deflection_ratio: Real,
    width_factor: Real = GEE_CLOUGH_WIDTH_FACTOR,
) -> Real:
    """Return the load [N] at which the mobility number M of Gee-Clough et al. (1978) is 1.

    `cone_index` [Pa], section `width` [m], `diameter` [m] and `deflection_ratio` [1] as in :func:`gee_clough`;
    `width_factor` [1] is that of b/d.
    """
    return (
        wheel_numeric(cone_index, width, diameter, 1.0)
        * sqrt(deflection_ratio)
        / (1.0 + width_factor * width / diameter)
    )


def mobility_number(stiffness: Real, load: Real) -> Real:
    """Return the mobility number Bn [1] of a tire of `stiffness` [N] under `load` [N] (Brixius 1987)."""
    return stiffness / load


def gross_traction_ceiling(mobility: Real, model: TireModel) -> Real:
    """Return what the part of GTR that grows with slip rises to [1], at `mobility` number [1] for a tire `model`."""
    ceiling = model.gross_max * (1.0 - exp(-model.load_rate * mobility))
    if isinstance(model.lost, float) and model.lost == 0.0:
        return ceiling
    return larger(ceiling - model.lost / mobility, 0.0)


def slip_rate(mobility: Real, ceiling: Real, model: TireModel) -> Real:
    """Return how fast GTR rises to its `ceiling` [1] with slip [1], at `mobility` number [1] for a tire `model`."""
    if isinstance(model.rate_by_mobility, float) and model.rate_by_mobility == 0.0:
        return model.slip_rate
    rate = model.slip_rate + model.rate_by_mobility * mobility
    return rate / larger(ceiling, _LEAST_CEILING) if model.over_ceiling else rate


def gross_offset(mobility: Real, model: TireModel) -> Real:
    """Return what GTR [1] has without slip, at `mobility` number [1] for a tire `model`."""
    if isinstance(model.gross_roll, float) and model.gross_roll == 0.0:
        return model.offset
    return model.offset + model.gross_roll * model.roll / mobility


def gross_traction_ratio(mobility: Real, ceiling: Real, slip: Real, model: TireModel) -> Real:
    """Return gross traction over load, GTR [1], below its `ceiling` [1] at `slip` [1] for a tire `model`.

    The ceiling depends on the `mobility` number [1] alone: :func:`gross_traction_ceiling`.
    """
    rate = slip_rate(mobility, ceiling, model)
    return ceiling * (1.0 - exp(-rate * slip)) + gross_offset(mobility, model)


def motion_resistance_per_slip(mobility: Real, model: TireModel) -> Real:
    """Return how much MRR [1] grows for each unit of slip, at `mobility` number [1] for a tire `model`."""
    return model.roll_slip / sqrt(mobility)


def rolling_ratio(mobility: Real, model: TireModel) -> Real:
    """Return MRR [1] of a wheel that does not slip, as a towed one, at `mobility` number [1] for a tire `model`."""
    return model.roll / mobility + model.offset + model.rolling


def motion_resistance_ratio(mobility: Real, slip: Real, model: TireModel) -> Real:
    """Return motion resistance over load, MRR [1], at `mobility` number [1] and `slip` [1] for a tire `model`."""
    return rolling_ratio(mobility, model) + motion_resistance_per_slip(mobility, model) * slip


def tractive_efficiency(gross_ratio: Real, net_ratio: Real, slip: Real) -> Real:
    """Return TE = (1 - s) NTR / GTR [1]: power out at the hitch over power in at the axle.

    `gross_ratio`, `net_ratio` and `slip` are all [1].
    """
    return (1.0 - slip) * net_ratio / gross_ratio


def second_pass_cone_index(cone_index: Real, mobility: Real) -> Real:
    """Return the cone index [Pa] a wheel meets in the track of one before it.

    CI' = CI (1 + 1.8 exp(-0.11 Bn)), with the `cone_index` [Pa] and `mobility` number [1] of the
    first wheel. From memory, medium to low confidence.
    """
    return cone_index * (1.0 + 1.8 * exp(-0.11 * mobility))


def wheel_numeric(cone_index: Real, width: Real, diameter: Real, load: Real) -> Real:
    """Return the wheel numeric Cn = CI b d / W [1] of Wismer and Luth (1974).

    `cone_index` [Pa], section `width` [m], `diameter` [m] and `load` on the tire [N].
    """
    return cone_index * width * diameter / load


def wismer_luth_gross_ratio(numeric: Real, slip: Real) -> Real:
    """Return GTR = 0.75 (1 - exp(-0.3 Cn s)) [1] at wheel `numeric` [1] and `slip` [1]."""
    return 0.75 * (1.0 - exp(-0.3 * numeric * slip))


def wismer_luth_motion_resistance_ratio(numeric: Real) -> Real:
    """Return MRR = 1.2 / Cn + 0.04 [1] at wheel `numeric` [1]."""
    return 1.2 / numeric + 0.04


class GeeClough(NamedTuple):
    """Coefficients of traction of one driven tire after Gee-Clough et al. (1978)."""

    mobility: Real
    """M [1]"""
    max_coefficient: Real
    """CTmax [1]"""
    rate: Real
    """k [1]"""
    rolling_resistance: Real
    """CRR [1]"""

    def net_ratio(self, slip: Real) -> Real:
        """Return the coefficient of traction CT = CTmax (1 - exp(-k s)) [1] at `slip` [1]."""
        return self.max_coefficient * (1.0 - exp(-self.rate * slip))

    def efficiency(self, slip: Real) -> Real:
        """Return tractive efficiency (1 - s) CT / (CT + CRR) [1] at `slip` [1]."""
        net = self.net_ratio(slip)
        return (1.0 - slip) * net / (net + self.rolling_resistance)


def gee_clough(cone_index: Real, width: Real, diameter: Real, load: Real, deflection_ratio: Real) -> GeeClough:
    """Return the traction coefficients of a driven tire after Gee-Clough et al. (1978).

    Parameters
    ----------
    cone_index : float or array
        CI [Pa].
    width, diameter : float or array
        b, d [m].
    load : float or array
        Load on the tire W [N].
    deflection_ratio : float or array
        delta/h [1].

    Notes
    -----
    M = (CI b d / W) sqrt(delta/h) / (1 + b/(2d)); CTmax = 0.796 - 0.92/M;
    k CTmax = 4.838 + 0.061 M; CRR = 0.049 + 0.287/M. Below M = 1.16 the fit gives no
    traction at all: CTmax is then 0. Part seen, part from memory that reproduces the
    published table.
    """
    mobility = (
        wheel_numeric(cone_index, width, diameter, load) * sqrt(deflection_ratio) / (1.0 + width / (2.0 * diameter))
    )
    max_coefficient = larger(0.796 - 0.92 / mobility, 0.0)
    rate = (4.838 + 0.061 * mobility) / larger(max_coefficient, 1e-9)
    return GeeClough(mobility, max_coefficient, rate, 0.049 + 0.287 / mobility)
