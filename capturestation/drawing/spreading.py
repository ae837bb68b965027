"""Boxes in a row, each as near to where it belongs as the others allow."""

from __future__ import annotations

from collections.abc import Sequence


def spread(
    middles: Sequence[float], widths: Sequence[int], gap: int, ends: tuple[int, int]
) -> list[float]:
    """Left edges of boxes in a row, each as near to its wanted middle as the others allow.

    Least squares over the order given: neighbours that would touch become one cluster that
    stands about the mean of what they want.

    Args:
        middles: Where each would stand, in order.
        widths: How wide each is.
        gap: Room between two.
        ends: Left and right end of the row.
    """
    offsets = [0.0]
    for width in widths[:-1]:
        offsets.append(offsets[-1] + width + gap)
    wanted = [m - w / 2 - o for m, w, o in zip(middles, widths, offsets, strict=True)]
    clusters: list[list[float]] = []
    for want in wanted:
        clusters.append([want])
        while len(clusters) > 1 and _mean(clusters[-2]) > _mean(clusters[-1]):
            joined = clusters.pop()
            clusters[-1].extend(joined)
    bases = [_mean(cluster) for cluster in clusters for _ in cluster]
    last = ends[1] - offsets[-1] - widths[-1]
    return [
        max(min(base, last), ends[0]) + offset for base, offset in zip(bases, offsets, strict=True)
    ]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
