"""American wire gauge."""

__all__ = ["gauge_diameter_m"]


def gauge_diameter_m(gauge: int) -> float:
    r"""Diameter of the bare wire of a gauge; 0, -1, -2 and -3 stand for 1/0 to 4/0. [m]

    Notes
    -----
    Thirty-nine equal ratios lie between number 36, 0.005 inch, and 4/0, 0.46 inch (the basis of ASTM B258; both
    read): :math:`d = 0.127\,\mathrm{mm}\cdot 92^{(36-n)/39}`.  The standard rounds, by less than 0.05 %.
    """
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))
