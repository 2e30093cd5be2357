"""The paper template against the pieces: each is there once, whole or on tiles that leave no gap."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import Region, contains, frozen, transformed, union
from piecewright.cutting.selfcheck.lines import AGREE_MM, lines_of, same

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.formats.pdf import Shown, Template
    from piecewright.cutting.geometry import FloatArray


def check_templates(shown: Sequence[Shown], templates: Sequence[Template]) -> None:
    """Find every template on the sheets; where it lies on the paper does not matter.

    Raises:
        SelfCheckFailed: If one is missing, or something else is to be cut.
    """
    left = list(shown)
    for template in templates:
        _claim(template, left)
    SelfCheckFailed.unless(not left, f"{len(left)} cut lines belong to no piece.")


def _claim(template: Template, left: list[Shown]) -> None:
    """Take what shows a template off the list: one whole, or tiles until they cover it."""
    upright, turned = (
        lines_of(transformed(template.cut, turn, False, shift, 0.0))
        for turn, shift in ((0.0, 0.0), (90.0, template.size_mm[1]))
    )
    windows: list[Region] = []
    for one in [one for one in left if len(one.lines) == len(upright)]:
        at = one.lines[-1].min(axis=0)
        lines = [line - at for line in one.lines]
        if not (same(lines, upright) or same(lines, turned)):
            continue
        left.remove(one)
        if one.window is None:
            return
        windows.append(_window(one.window, at))
        covered = union(windows)
        if len(covered) == 1 and contains(covered[0], template.cut, slack_mm=AGREE_MM):
            return
    raise SelfCheckFailed(_missing(template, len(windows)))


def _window(window: tuple[float, float, float, float], at: FloatArray) -> Region:
    x, y, width, height = window
    corners = np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])
    return Region(exterior=frozen(corners - at))


def _missing(template: Template, tiles: int) -> str:
    if tiles:
        return f"The {tiles} sheets that show piece {template.piece} do not cover it."
    return f"Piece {template.piece} is not in it at its true size."
