"""Block numbers given in the rules: the last word.

Terms: a rule is *for* a design if its file pattern matches the design's name.
"""

from __future__ import annotations

import json
import re
from fnmatch import fnmatch
from typing import TYPE_CHECKING

from piecewright.cutting.passes import Role
from piecewright.cutting.plaintext import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.passes import Pass
    from piecewright.cutting.pieces.values import Piece
    from piecewright.cutting.rules import BlocksByHand, PassRules


def by_hand_for(name: str, rules: PassRules) -> BlocksByHand | None:
    """The first rule for a design of this name, if there is one."""
    return next((rule for rule in rules.by_hand if fnmatch(name.casefold(), rule.files.casefold())), None)


def role_by_hand(block: int, rule: BlocksByHand | None) -> Role | None:
    """The role that a rule gives to whatever follows a line in a block, if it names the block."""
    if rule is not None and block in rule.tack_down:
        return Role.TACK_DOWN
    if rule is not None and block in rule.cover:
        return Role.COVER
    return None


def lines_for_rules(
    name: str,
    *,
    placement: Iterable[int] = (),
    tack_down: Iterable[int] = (),
    cover: Iterable[int] = (),
    base: Iterable[int] = (),
    divided: Iterable[int] = (),
) -> str:
    """Block numbers as lines that somebody can paste into the rules of a product.

    Args:
        name: Of the design; as a pattern it is made to match this name and no other.
        placement: Blocks, in any order and more than once, as are the others.
        tack_down: Blocks.
        cover: Blocks.
        base: Blocks; the line is left out if there are none.
        divided: The same.
    """
    lines = ["passes:", "  by_hand:", f"    - files: {_pattern(name)}"]
    named = {"placement": placement, "tack_down": tack_down, "cover": cover, "base": base, "divided": divided}
    numbers = {key: sorted(set(blocks)) for key, blocks in named.items()}
    lines += [
        f"      {key}: {found}" for key, found in numbers.items() if found or key not in {"base", "divided"}
    ]
    return "\n".join(lines)


def lines_for_pieces(
    name: str,
    pieces: Sequence[Piece],
    passes: Sequence[Pass],
    divided: Iterable[int] = (),
    also: Iterable[int] = (),
) -> str:
    """The lines that have these pieces cut, and nothing else: a rule by hand says all there is of a design.

    Args:
        name: Of the design.
        pieces: Those that are meant.
        passes: Of the whole design.
        divided: Placement blocks whose cells are meant.
        also: Placement blocks in which none of these pieces was found.
    """

    def blocks(of: Iterable[Sequence[int]]) -> list[int]:
        return [passes[number - 1].block for numbers in of for number in numbers]

    return lines_for_rules(
        name,
        placement=[*blocks(piece.placement for piece in pieces if piece.kind == "applique"), *also],
        tack_down=blocks(piece.tack_down for piece in pieces),
        cover=blocks(piece.cover for piece in pieces),
        base=blocks(piece.placement for piece in pieces if piece.kind == "base"),
        divided=divided,
    )


def _pattern(name: str) -> str:
    """A file pattern, quoted for YAML, that matches this name and no other."""
    return json.dumps(re.sub(r"([*?\[])", r"[\1]", plain(name)), ensure_ascii=False)
