"""The 97.5 % quantile of Student's distribution, without a statistics library."""

from __future__ import annotations

NORMAL_975 = 1.959963984540054
EXACT = (12.706205, 4.302653, 3.182446, 2.776445, 2.570582, 2.446912, 2.364624, 2.306004)


def student_quantile_975(spare: int) -> float:
    """Return t such that 97.5 % of Student's distribution lies below it.

    Parameters
    ----------
    spare : int
        Degrees of freedom, 1 or more.

    Returns
    -------
    float
        Quantile [-], within 1e-5.

    Notes
    -----
    Typed table up to 8 degrees, Cornish and Fisher's series above; a test compares both with a library.
    """
    if spare <= len(EXACT):
        return EXACT[spare - 1]
    z, v = NORMAL_975, float(spare)
    terms = (
        (z**3 + z) / 4.0,
        (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0,
        (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0,
        (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0,
    )
    return z + sum(term / v ** (power + 1) for power, term in enumerate(terms))
