"""Block numbers given in the rules: the last word.

Terms: a rule is *for* a design if its file pattern matches the design's name.
"""

from __future__ import annotations

from fnmatch import fnmatch
from typing import TYPE_CHECKING

from piecewright.cutting.passes import Role

if TYPE_CHECKING:
    from collections.abc import Iterable

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
    name: str, placement: int, tack_down: Iterable[int], cover: Iterable[int], *, base: bool = False
) -> str:
    """The lines that somebody can paste into the rules of a product, to have a line cut."""
    lines = ["passes:", "  by_hand:", f'    - files: "{name}"']
    lines.append(f"      placement: [{'' if base else placement}]")
    if base:
        lines.append(f"      base: [{placement}]")
    for key, blocks in (("tack_down", tack_down), ("cover", cover)):
        numbers = sorted(set(blocks))
        if numbers:
            lines.append(f"      {key}: {numbers}")
    return "\n".join(lines)
