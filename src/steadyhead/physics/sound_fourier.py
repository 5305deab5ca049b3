"""Fourier transforms of many pieces of a stream at once, instants side by side: many in one instruction."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import wide_kernel

Samples = NDArray[np.float32]
Counts = NDArray[np.int64]
_HALF, _LEAST = np.float32(0.5), np.float32(1e-30)
_SIN_3 = np.float32(math.sqrt(0.75))
_COS_5, _COS_5_2 = np.float32(math.cos(0.4 * math.pi)), np.float32(math.cos(0.8 * math.pi))
_SIN_5, _SIN_5_2 = np.float32(math.sin(0.4 * math.pi)), np.float32(math.sin(0.8 * math.pi))
AT_ONCE = 32
"""Samples of a piece that are laid out before the next piece's turn: they share a stretch of memory."""


class Turns(NamedTuple):
    """A length's factors, each 2, 3, 4 or 5, their product the length n, and the n turns of a circle.

    Shapes: factors (f,), cosine and sine (n,): cos(2 pi k / n), sin(2 pi k / n)
    """

    factors: Counts
    cosine: Samples
    sine: Samples


def turns_of(length: int) -> Turns:
    """Return the factors of a length and its turns.

    Valid: no prime factor of the length above 5.
    """
    factors, rest = [], length
    for factor in (4, 2, 3, 5):
        while rest % factor == 0:
            factors.append(factor)
            rest //= factor
    angle = 2.0 * np.pi * np.arange(length) / length
    return Turns(np.array(factors, np.int64), np.cos(angle).astype(np.float32), np.sin(angle).astype(np.float32))


@wide_kernel
def laid_side_by_side(samples: Samples, starts: Counts, window: Samples, real: Samples, imaginary: Samples) -> None:
    """Cut pieces out of a stream, each weighed by a window and followed by zeros; half of them are the imaginary part.

    Shapes: samples (m,), starts (s,), window (w,) -> real, imaginary (l h,), h = s / 2, sample by sample, l >= w
    Valid: starts 0 to m - w, s even.
    Source: definition.
    """
    half = starts.size // 2
    for first in range(0, window.size, AT_ONCE):
        stop = min(first + AT_ONCE, window.size)
        weights = window[first:stop]
        for lane in range(half):
            one, other = samples[starts[lane] + first :], samples[starts[half + lane] + first :]
            into, beside = real[first * half + lane :], imaginary[first * half + lane :]
            for k in range(weights.size):
                into[k * half] = one[k] * weights[k]
                beside[k * half] = other[k] * weights[k]
    for k in range(window.size * half, real.size):
        real[k] = imaginary[k] = np.float32(0.0)


@wide_kernel
def halves(turns: Turns, wide: int, x: Samples, v: Samples, y: Samples, w: Samples) -> None:
    """One pass of the transform by the factor 2: x + i v -> y + i w.

    Shapes: (l h,) each; wide: how many numbers share a turn
    Valid: as `transformed`.
    Source: as `transformed`.
    """
    step = np.uint64(wide)
    part = np.uint64(x.size) // np.uint64(2)
    each = np.uint64(turns.cosine.size * wide // x.size)
    for q in range(part // step):
        c, s = turns.cosine[q * each], turns.sine[q * each]
        a = q * step
        out = np.uint64(2) * a
        for i in range(step):
            xa, va, xb, vb = x[a + i], v[a + i], x[a + part + i], v[a + part + i]
            y[out + i], w[out + i] = xa + xb, va + vb
            real, imaginary = xa - xb, va - vb
            y[out + step + i] = real * c + imaginary * s
            w[out + step + i] = imaginary * c - real * s


@wide_kernel
def thirds(turns: Turns, wide: int, x: Samples, v: Samples, y: Samples, w: Samples) -> None:
    """One pass of the transform by the factor 3.

    Shapes: as `halves`
    Valid: as `transformed`.
    Source: as `transformed`.
    """
    step, two = np.uint64(wide), np.uint64(2)
    part = np.uint64(x.size) // np.uint64(3)
    each = np.uint64(turns.cosine.size * wide // x.size)
    for q in range(part // step):
        c1, s1 = turns.cosine[q * each], turns.sine[q * each]
        c2, s2 = turns.cosine[two * q * each], turns.sine[two * q * each]
        a = q * step
        out = np.uint64(3) * a
        for i in range(step):
            b, c = a + part + i, a + two * part + i
            xa, va = x[a + i], v[a + i]
            xs, vs, xd, vd = x[b] + x[c], v[b] + v[c], _SIN_3 * (x[b] - x[c]), _SIN_3 * (v[b] - v[c])
            y[out + i], w[out + i] = xa + xs, va + vs
            xm, vm = xa - _HALF * xs, va - _HALF * vs
            real, imaginary = xm + vd, vm - xd
            y[out + step + i] = real * c1 + imaginary * s1
            w[out + step + i] = imaginary * c1 - real * s1
            real, imaginary = xm - vd, vm + xd
            y[out + two * step + i] = real * c2 + imaginary * s2
            w[out + two * step + i] = imaginary * c2 - real * s2


@wide_kernel
def quarters(turns: Turns, wide: int, x: Samples, v: Samples, y: Samples, w: Samples) -> None:
    """One pass of the transform by the factor 4.

    Shapes: as `halves`
    Valid: as `transformed`.
    Source: as `transformed`.
    """
    step, two, three = np.uint64(wide), np.uint64(2), np.uint64(3)
    part = np.uint64(x.size) // np.uint64(4)
    each = np.uint64(turns.cosine.size * wide // x.size)
    for q in range(part // step):
        c1, s1 = turns.cosine[q * each], turns.sine[q * each]
        c2, s2 = turns.cosine[two * q * each], turns.sine[two * q * each]
        c3, s3 = turns.cosine[three * q * each], turns.sine[three * q * each]
        a = q * step
        out = np.uint64(4) * a
        for i in range(step):
            at = a + i
            b, c, d = at + part, at + two * part, at + three * part
            xe, ve, xf, vf = x[at] + x[c], v[at] + v[c], x[at] - x[c], v[at] - v[c]
            xg, vg, xh, vh = x[b] + x[d], v[b] + v[d], x[b] - x[d], v[b] - v[d]
            y[out + i], w[out + i] = xe + xg, ve + vg
            real, imaginary = xf + vh, vf - xh
            y[out + step + i] = real * c1 + imaginary * s1
            w[out + step + i] = imaginary * c1 - real * s1
            real, imaginary = xe - xg, ve - vg
            y[out + two * step + i] = real * c2 + imaginary * s2
            w[out + two * step + i] = imaginary * c2 - real * s2
            real, imaginary = xf - vh, vf + xh
            y[out + three * step + i] = real * c3 + imaginary * s3
            w[out + three * step + i] = imaginary * c3 - real * s3


@wide_kernel
def fifths(turns: Turns, wide: int, x: Samples, v: Samples, y: Samples, w: Samples) -> None:
    """One pass of the transform by the factor 5.

    Shapes: as `halves`
    Valid: as `transformed`.
    Source: as `transformed`.
    """
    step, two, three, four = np.uint64(wide), np.uint64(2), np.uint64(3), np.uint64(4)
    part = np.uint64(x.size) // np.uint64(5)
    each = np.uint64(turns.cosine.size * wide // x.size)
    for q in range(part // step):
        c1, s1 = turns.cosine[q * each], turns.sine[q * each]
        c2, s2 = turns.cosine[two * q * each], turns.sine[two * q * each]
        c3, s3 = turns.cosine[three * q * each], turns.sine[three * q * each]
        c4, s4 = turns.cosine[four * q * each], turns.sine[four * q * each]
        a = q * step
        out = np.uint64(5) * a
        for i in range(step):
            at = a + i
            b, c, d, e = at + part, at + two * part, at + three * part, at + four * part
            xp, vp, xm, vm = x[b] + x[e], v[b] + v[e], x[b] - x[e], v[b] - v[e]
            xq, vq, xn, vn = x[c] + x[d], v[c] + v[d], x[c] - x[d], v[c] - v[d]
            y[out + i], w[out + i] = x[at] + xp + xq, v[at] + vp + vq
            xr, vr = x[at] + _COS_5 * xp + _COS_5_2 * xq, v[at] + _COS_5 * vp + _COS_5_2 * vq
            xs, vs = _SIN_5 * xm + _SIN_5_2 * xn, _SIN_5 * vm + _SIN_5_2 * vn
            real, imaginary = xr + vs, vr - xs
            y[out + step + i] = real * c1 + imaginary * s1
            w[out + step + i] = imaginary * c1 - real * s1
            real, imaginary = xr - vs, vr + xs
            y[out + four * step + i] = real * c4 + imaginary * s4
            w[out + four * step + i] = imaginary * c4 - real * s4
            xr, vr = x[at] + _COS_5_2 * xp + _COS_5 * xq, v[at] + _COS_5_2 * vp + _COS_5 * vq
            xs, vs = _SIN_5_2 * xm - _SIN_5 * xn, _SIN_5_2 * vm - _SIN_5 * vn
            real, imaginary = xr + vs, vr - xs
            y[out + two * step + i] = real * c2 + imaginary * s2
            w[out + two * step + i] = imaginary * c2 - real * s2
            real, imaginary = xr - vs, vr + xs
            y[out + three * step + i] = real * c3 + imaginary * s3
            w[out + three * step + i] = imaginary * c3 - real * s3


@wide_kernel
def roots_of_halves(real: Samples, imaginary: Samples, first_bin: int, root: Samples) -> None:
    """Fourth root of the power of each bin of pieces that were transformed two in one.

    |Z[k] + Z*[n - k]|^2 / 4 of the real part, |Z[k] - Z*[n - k]|^2 / 4 of the imaginary part
    Shapes: real, imaginary (n h,) -> root (k, 2 h), k <= n / 2 + 1
    Valid: any.
    Source: transform of two real series at once, any signal processing textbook.
    """
    half = root.shape[1] // 2
    length, quarter = real.size // half, np.float32(0.25)
    for k in range(first_bin, root.shape[0]):
        there, back = k * half, (length - k) % length * half
        a, b, c, d = real[there:], imaginary[there:], real[back:], imaginary[back:]
        one, other = root[k, :half], root[k, half:]
        for lane in range(half):
            p, q = a[lane] + c[lane], b[lane] - d[lane]
            r, s = a[lane] - c[lane], b[lane] + d[lane]
            one[lane] = math.sqrt(math.sqrt(max(quarter * (p * p + q * q), _LEAST)))
            other[lane] = math.sqrt(math.sqrt(max(quarter * (r * r + s * s), _LEAST)))


@wide_kernel
def transformed(
    samples: Samples, starts: Counts, window: Samples, turns: Turns, first_bin: int, spare: Samples, root: Samples
) -> None:  # fmt: skip
    """Fourth root of the power of each bin of pieces of a stream, each weighed by a window and followed by zeros.

    X[k] = sum_j w[j] x[j] exp(-2 pi i j k / n), by factors of n one after the other, each pass in order
    Shapes: samples (m,), starts (s,), window (w,), spare (4, n s / 2) -> root (k, s), k <= n / 2 + 1
    Valid: s even, n >= w.
    Source: Stockham's order of the fast Fourier transform, any signal processing textbook.
    """
    wide = starts.size // 2
    laid_side_by_side(samples, starts, window, spare[0], spare[1])
    at = 0
    for factor in turns.factors:
        x, v, y, w = spare[at], spare[at + 1], spare[2 - at], spare[3 - at]
        if factor == 2:
            halves(turns, wide, x, v, y, w)
        elif factor == 3:
            thirds(turns, wide, x, v, y, w)
        elif factor == 4:
            quarters(turns, wide, x, v, y, w)
        else:
            fifths(turns, wide, x, v, y, w)
        wide *= factor
        at = 2 - at
    roots_of_halves(spare[at], spare[at + 1], first_bin, root)
