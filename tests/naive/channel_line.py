"""Plain twins of the channel's fits: normal equations and pooled neighbours, in loops; imports nothing of ours."""

from collections.abc import Callable


def line(x: list[float], y: list[float], s: list[float]) -> tuple[float, float, Callable[[float], float]]:
    """Offset, slope and the variance of the line at a place, from the 2 by 2 normal equations, not centred."""
    w = [1.0 / si**2 for si in s]
    sw = sum(w)
    swx = sum(wi * xi for wi, xi in zip(w, x, strict=True))
    swxx = sum(wi * xi * xi for wi, xi in zip(w, x, strict=True))
    swy = sum(wi * yi for wi, yi in zip(w, y, strict=True))
    swxy = sum(wi * xi * yi for wi, xi, yi in zip(w, x, y, strict=True))
    det = sw * swxx - swx * swx
    offset = (swxx * swy - swx * swxy) / det
    slope = (sw * swxy - swx * swy) / det
    return offset, slope, lambda at: (swxx - 2.0 * at * swx + at * at * sw) / det


def line_through_zero(x: list[float], y: list[float], s: list[float]) -> tuple[float, float]:
    """Slope and its variance."""
    swxx = sum(xi * xi / si**2 for xi, si in zip(x, s, strict=True))
    swxy = sum(xi * yi / si**2 for xi, yi, si in zip(x, y, s, strict=True))
    return swxy / swxx, 1.0 / swxx


def pooled_rising(y: list[float], s: list[float]) -> list[float]:
    """Nearest rising row: pool neighbours that fall until none do."""
    blocks = [[yi / si**2, 1.0 / si**2, 1] for yi, si in zip(y, s, strict=True)]
    place = 0
    while place + 1 < len(blocks):
        left, right = blocks[place], blocks[place + 1]
        if left[0] / left[1] > right[0] / right[1]:
            blocks[place : place + 2] = [[left[0] + right[0], left[1] + right[1], left[2] + right[2]]]
            place = max(place - 1, 0)
        else:
            place += 1
    return [block[0] / block[1] for block in blocks for _ in range(int(block[2]))]


def landed(low: float, step: float, width: float) -> float:
    """Reachable width nearest to one asked for, by trying the neighbours."""
    count = int((width - low) / step)
    return min((low + step * k for k in range(count - 2, count + 3)), key=lambda reached: abs(reached - width))
