"""The inspection in words: for the terminal, and as lines for the rules."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from piecewright.cutting.findings import message_of
from piecewright.cutting.geometry import bounds
from piecewright.cutting.inspection.rows import table, to_look_at
from piecewright.cutting.pieces.by_hand import lines_for_pieces
from piecewright.cutting.plaintext import listing, per_cent, plain
from piecewright.cutting.sheet import words
from piecewright.cutting.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Design
    from piecewright.cutting.inspection.rows import Row
    from piecewright.cutting.pieces import Piece, Understanding
    from piecewright.cutting.units import Show

ROLE_WORDS: Final = {
    "placement": "placement line",
    "tack-down": "tack-down",
    "cover": "cover",
    "underlay": "underlay",
    "fill": "filled area",
    "quilting": "quilting",
    "detail": "lines and details",
}
NOT_RIGHT: Final = "Not as it should be? Put these lines into the product's rules and mend the numbers:"

_WIDTH: Final = 100
"""Characters of a line of text."""

_NUMBERS: Final = frozenset({0, 4, 5})
"""Columns that are set to the right."""

_MOST_LETTERS: Final = 8


def as_text(design: Design, understanding: Understanding, show: Show) -> str:
    """The inspection for people at a terminal.

    Args:
        design: What is sewn.
        understanding: What was found in it.
        show: The shop's unit.
    """
    lines = [headline(design, show), "", *_blocks(table(design, understanding), show), ""]
    for piece in understanding.pieces:
        lines += _filled(piece_words(piece, understanding, show))
        lines += [line for sentence in piece.evidence for line in _filled(sentence, "  - ")]
    if not understanding.pieces:
        lines.append("No piece was found: nothing is cut.")
    findings = to_look_at(design, understanding)
    if findings:
        lines += ["", "Look at this:"]
    for number, alike in enumerate(findings, 1):
        lines += _filled(message_of(alike, show), f"{number}. ")
        lines += [part for line in alike[0].advice.splitlines() for part in _filled(line, "   ")]
    lines += ["", NOT_RIGHT, "", *as_rules(design, understanding).splitlines()]
    return "\n".join(lines) + "\n"


def headline(design: Design, show: Show) -> str:
    """The design in one line."""
    x0, y0, x1, y1 = design.bounds_mm
    size = words.size(x1 - x0, y1 - y0, show)
    blocks = words.count(len(design.blocks), "block")
    return f"{plain(design.name)}: {design.format}, {design.stitches} stitches, {size}, {blocks}"


def _blocks(rows: Sequence[Row], show: Show) -> list[str]:
    """The table with columns as wide as what stands in them."""
    cells = [("block", "thread", "sews", "pieces", "stitches", "sure")]
    before = 0
    for row in rows:
        new = row.block != before
        before = row.block
        named = (str(row.block), row.thread) if new else ("", "")
        cells.append(
            (
                *named,
                row_words(row, show),
                _shortened(row.pieces),
                str(row.stitches),
                per_cent(row.confidence) if row.role else "",
            )
        )
    widths = [max(len(cell) for cell in column) for column in zip(*cells, strict=True)]
    return [
        "  ".join(
            cell.rjust(width) if column in _NUMBERS else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in cells
    ]


def _shortened(pieces: Sequence[str]) -> str:
    """``A, B``; of many pieces only the first and the last."""
    return ", ".join(pieces) if len(pieces) <= _MOST_LETTERS else f"{pieces[0]} ... {pieces[-1]}"


def _filled(text: str, first: str = "") -> list[str]:
    """Wrapped at the width of the terminal; the indent of the text is kept."""
    indent = " " * (len(text) - len(text.lstrip()))
    return textwrap.wrap(
        plain(text), _WIDTH, initial_indent=first + indent, subsequent_indent=" " * len(first) + indent
    ) or [""]


def row_words(row: Row, show: Show, of: str = "") -> str:
    """What a block sews, such as ``cover of A: satin, 3.5 mm wide``."""
    if not row.role:
        return "nothing"
    wide = f", {format_length(row.width_mm, show)} wide" if row.width_mm > 0 else ""
    return f"{ROLE_WORDS.get(row.role, row.role)}{f' of {of}' if of else ''}: {row.stitch}{wide}"


def piece_words(piece: Piece, understanding: Understanding, show: Show) -> str:
    """A piece in one line: letter, size, blocks, and whether it is cut."""
    x0, y0, x1, y1 = bounds(piece.line)
    kind = "base layer" if piece.kind == "base" else "piece"
    where = [
        f"{name} in {_block_words(numbers, understanding)}"
        for name, numbers in (
            ("line", piece.placement),
            ("tack-down", piece.tack_down),
            ("cover", piece.cover),
        )
        if numbers
    ]
    verdict = "is cut" if piece.cut else "is not cut"
    size = words.size(x1 - x0, y1 - y0, show)
    return f"{piece.id}: {kind}, {size}; {', '.join(where)}; {per_cent(piece.confidence)} sure, {verdict}"


def _block_words(numbers: Sequence[int], understanding: Understanding) -> str:
    blocks = dict.fromkeys(str(understanding.passes[number - 1].block) for number in numbers)
    return f"block{'s' if len(blocks) > 1 else ''} {listing(blocks)}"


def as_rules(design: Design, understanding: Understanding) -> str:
    """What was understood as lines for the rules of a product, to start from where it is wrong."""
    return lines_for_pieces(design.name, understanding.pieces, understanding.passes)
