"""pH as the reserve alkalinity is used up: a plateau that ends, found from the readings alone."""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import Floats, Integers

# Reserve alkalinity is the acid that takes a sample to pH 5.5 (ASTM D1121): without any left the
# pH is that.
EXHAUSTED_PH = 5.5
LN_10 = float(np.log(10.0))
DRAW_SEED = 20_260_104


@dataclass(frozen=True, slots=True)
class BufferCurve:
    """A rising curve of pH over reserve alkalinity.

    Parameters
    ----------
    reserve, ph : numpy.ndarray, shape (k,)
        Corners, rising; the first is the exhausted buffer, and of the next two the pH may be
        the same.

    Notes
    -----
    Between corners the pH goes with the logarithm of the reserve, as that of a buffer does that is
    nearly used up: pH = pKa + log10(reserve / acid), Henderson and Hasselbalch's equation, as in
    any text of analytical chemistry.
    """

    reserve: Floats
    ph: Floats

    @classmethod
    def through(cls, reserve: Floats, ph: Floats) -> "BufferCurve":
        """Fit by monotone regression.

        Parameters
        ----------
        reserve, ph : numpy.ndarray, shape (n,)
            Readings [mL of 0.1 mol/L acid for 10 mL] and [pH].

        References
        ----------
        .. [1] Barlow, R. E., Bartholomew, D. J., Bremner, J. M. and Brunk, H. D. (1972),
           Statistical Inference under Order Restrictions, Wiley, as scikit-learn implements it.

        Examples
        --------
        >>> curve = BufferCurve.through(np.array([1.0, 2.0, 4.0, 8.0]),
        ...                             np.array([7.0, 8.4, 8.2, 9.0]))
        >>> curve.ph.round(6).tolist(), curve.reserve_at(np.array([8.65]), 0.5).round(6).tolist()
        ([5.5, 7.0, 8.3, 9.0], [5.656854])
        """
        from sklearn.isotonic import IsotonicRegression

        above = (ph > EXHAUSTED_PH) & (reserve > 0.0)
        fitted = IsotonicRegression().fit(reserve[above], ph[above])
        corners, heights = fitted.X_thresholds_, fitted.y_thresholds_
        # Of a level stretch its far end counts: the pH falls below it only where it ends. The
        # lowest of all goes on to the lowest reserve seen.
        kept = np.r_[np.diff(heights) > 0.0, True]
        kept[0] = True
        return cls(np.r_[0.0, corners[kept]], np.r_[EXHAUSTED_PH, heights[kept]])

    def ph_at(self, reserve: Floats, place: float = 0.5) -> Floats:
        """Return the pH at some reserves, level beyond the last corner.

        Parameters
        ----------
        reserve : numpy.ndarray
            Reserves.
        place : float
            As in `reserve_at`, whose inverse this is.
        """
        lowest, least = self.reserve[1], self.ph[1]
        some = np.maximum(reserve, 1e-300)
        buffered = np.interp(np.log(some), np.log(self.reserve[1:]), self.ph[1:])
        used = np.clip(1.0 - reserve / (place * lowest), 0.0, 1.0)
        left = np.maximum(1.0 - LN_10 * self._steepness() * used, 10.0 ** (EXHAUSTED_PH - least))
        unseen = np.where(reserve > 0.0, least + np.log10(left), EXHAUSTED_PH)
        return np.where(reserve < lowest, unseen, buffered)

    def reserve_at(self, ph: Floats, place: float) -> Floats:
        """Return the reserve at which some pH are passed.

        Parameters
        ----------
        ph : numpy.ndarray, shape (n,)
            At or below `EXHAUSTED_PH` the answer is 0, above the plateau infinite.
        place : float
            Between the exhausted buffer and the lowest pH seen little tells where: at this share
            of the way from there to the greatest reserve at which the pH can have fallen so far.

        Notes
        -----
        A buffer of total C and base C x has the capacity ln(10) C x (1 - x) per pH. To fall by d
        it takes up C x - C x', which is at least its capacity times (1 - 10^-d) / ln(10), and so
        do several buffers together: the capacity seen at the lowest reserve does not end at once.
        """
        reserve = np.exp(np.interp(ph, self.ph[1:], np.log(self.reserve[1:])))
        reserve = np.where(ph <= EXHAUSTED_PH, 0.0, reserve)
        unseen = (ph > EXHAUSTED_PH) & (ph < self.ph[1])
        taken = -np.expm1(-LN_10 * np.maximum(self.ph[1] - ph, 0.0))
        # Without a slope nothing but the last of the reserve lets the pH fall.
        share = taken / np.maximum(LN_10 * self._steepness(), 1e-12)
        first = np.maximum(1.0 - share, 0.0)
        reserve = np.where(unseen, place * first * self.reserve[1], reserve)
        return np.where(ph > self.ph[-1], np.inf, reserve)

    def _steepness(self) -> float:
        """Return by how much pH goes up with the logarithm of the lowest reserves seen."""
        low, high = self.reserve[1], min(2.0 * self.reserve[1], self.reserve[-1])
        if high <= low:
            return np.inf
        rise = np.interp(np.log(high), np.log(self.reserve[1:]), self.ph[1:]) - self.ph[1]
        return float(rise / np.log(high / low))


def buffer_curves(
    reserve: Floats, ph: Floats, fill: Integers, draws: int
) -> tuple[BufferCurve, ...]:
    """Fit the curve through all readings, and through fills drawn with replacement.

    Parameters
    ----------
    reserve, ph : numpy.ndarray, shape (n,)
        Readings.
    fill : numpy.ndarray of int, shape (n,)
        Fill of each; the readings of a fill are drawn together.
    draws : int
        How many further curves: how they differ is how unsure the curve is.
    """
    random = np.random.default_rng(DRAW_SEED)
    fills, code = np.unique(fill, return_inverse=True)
    curves = [BufferCurve.through(reserve, ph)]
    for _ in range(draws):
        times = np.bincount(random.integers(0, fills.size, fills.size), minlength=fills.size)
        rows = np.repeat(np.arange(reserve.size), times[code])
        curves.append(BufferCurve.through(reserve[rows], ph[rows]))
    return tuple(curves)
