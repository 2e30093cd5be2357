"""The order: a small YAML file in a drop that overrides copies and fabrics of its product.

copies: 3                     # of every design, or by name:
copies: {boat.pes: 3, "wren*": 2}
fabrics: [plum, gold]         # dealt over the copies in turn
by_piece: {2A: rust}          # before it: piece A of the second design
base_fabric: batting
mat: long
"""

from __future__ import annotations

import fnmatch
from itertools import accumulate
from typing import TYPE_CHECKING, Annotated

import yaml
from pydantic import Field, ValidationError

from piecewright.cutting.errors import PiecewrightError, RulesError
from piecewright.cutting.rules import Section
from piecewright.daemon.yamlfaults import fault, fault_of, perhaps
from piecewright.daemon.yamlfile import read_yaml

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.rules import JobRules
    from piecewright.daemon.drops.entry import Entry
    from piecewright.daemon.yamlfile import Key, YamlFile

_WHOLE = "the order"
_NAMES = frozenset({"order.yaml", "order.yml"})
_LARGEST = 50_000
"""Bytes; a person writes no longer order."""
_DEEPEST = 10
"""Brackets in each other; an order needs one."""

Count = Annotated[int, Field(ge=1, le=1000, strict=True)]
CountOrNone = Annotated[int, Field(ge=0, le=1000, strict=True)]
"""0 leaves a design, such as a size of a pack that is not wanted, out."""


class OrderError(PiecewrightError):
    """The drop's order cannot be used as it is written."""

    code = "order"


class Order(Section):
    """What a drop says of itself; None where the product's own rule stands."""

    copies: Count | dict[str, CountOrNone] | None = Field(
        default=None,
        description="How often each design is made: a number, or numbers by file name; 0 leaves one out.",
    )
    fabrics: tuple[str, ...] | None = Field(default=None, description="Dealt over the copies in turn.")
    by_piece: dict[str, str] | None = Field(
        default=None,
        description="Piece to fabric, by the letter on the sheet; with several designs the number of the "
        "design stands before it, such as 2A.",
    )
    base_fabric: str | None = Field(default=None, description="Fabric of base layers.")
    mat: str | None = Field(default=None, description="Name of the mat.")

    def copies_of(self, paths: Sequence[str], usual: int) -> list[int]:
        """How often each design is made, on top of the copies in ``applied_to``'s rules.

        Args:
            paths: The designs.
            usual: The product's copies, for designs that the order does not name.

        Raises:
            OrderError: If it names a design that is not in the drop.
        """
        if self.copies is None:
            return [1] * len(paths)
        if isinstance(self.copies, int):
            return [self.copies] * len(paths)
        for pattern in self.copies:
            if not any(_means(pattern, path) for path in paths):
                names = [path.rpartition("/")[2] for path in paths]
                message = f"The order names {pattern!r}, which is not in the drop{perhaps(pattern, names)}."
                raise OrderError(message, f"The drop's designs are {', '.join(names[:10])}.")
        return [
            next((count for pattern, count in self.copies.items() if _means(pattern, path)), usual)
            for path in paths
        ]

    def applied_to(self, rules: JobRules) -> JobRules:
        """The rules of the job with what this order overrides.

        Fabrics that an order names go before every way in which the product chooses them.
        """
        product = rules.product
        dealing: dict[str, object] = {} if self.copies is None else {"copies": 1}
        if self.fabrics is not None:
            dealing |= {"fabrics": self.fabrics, "by_thread": {}, "by_block": {}, "by_piece": {}}
        if self.by_piece is not None:
            dealing |= {"by_piece": self.by_piece}
        if self.base_fabric is not None:
            dealing |= {"base_fabric": self.base_fabric}
        laying = {} if self.mat is None else {"mat": self.mat}
        changed = {
            "dealing": product.dealing.model_copy(update=dealing),
            "laying": product.laying.model_copy(update=laying),
        }
        return rules.model_copy(update={"product": product.model_copy(update=changed)})


def is_order(path: str) -> bool:
    """Whether an entry is an order, by its name."""
    return path.rpartition("/")[2].lower() in _NAMES


def read_order(entry: Entry, rules: JobRules) -> Order:
    """Read and check a drop's order.

    Raises:
        OrderError: With every fault found, each with file, line and key.
    """
    if entry.size > _LARGEST:
        message = f"{entry.path} has {entry.size:,} bytes, more than any order."
        raise OrderError(message, "Keep only copies, fabrics, by_piece, base_fabric and mat in it.")
    file = _read(entry)
    try:
        order = Order.model_validate(file.data)
    except ValidationError as error:
        problems = dict.fromkeys(
            fault_of(details, file, whole=_WHOLE, siblings=Order.model_fields) for details in error.errors()
        )
        raise OrderError("\n".join(problems), "Mend the order and drop everything again.") from error
    unknown = list(_unknown_names(order, rules, file))
    if unknown:
        raise OrderError("\n".join(unknown), "Use names that stand in the shop's rules.")
    return order


def _read(entry: Entry) -> YamlFile:
    try:
        text = entry.read().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = f"{entry.path} is no UTF-8 text."
        raise OrderError(message, "Save it as plain UTF-8 text.") from error
    if _bracket_depth(text) > _DEEPEST:
        message = f"{entry.path} nests far too deep."
        raise OrderError(message, "Keep only copies, fabrics, by_piece, base_fabric and mat in it.")
    if _has_alias(text):
        message = f"{entry.path} repeats a part of itself by an alias (*name)."
        raise OrderError(message, "Write the part out; put a pattern that begins with * in quotes.")
    try:
        return read_yaml(text, entry.path)
    except RulesError as error:
        raise OrderError(error.message, error.advice) from error


def _bracket_depth(text: str) -> int:
    """How deep brackets lie in each other; YAML takes the square of it in time."""
    steps = ((c in "[{") - (c in "]}") for c in text)
    return max(accumulate(steps), default=0)


def _has_alias(text: str) -> bool:
    """Aliases inside aliases make a short text stand for gigabytes; an order needs none."""
    try:
        return any(isinstance(token, yaml.AliasToken) for token in yaml.scan(text, Loader=yaml.SafeLoader))
    except yaml.YAMLError:
        return False  # told with its line when it is read


def _unknown_names(order: Order, rules: JobRules, file: YamlFile) -> Iterator[str]:
    """Fabrics and mats that the order names and the rules do not have."""
    named: list[tuple[Key, str]] = [(("fabrics",), fabric) for fabric in order.fabrics or ()]
    named += [(("by_piece", piece), fabric) for piece, fabric in (order.by_piece or {}).items()]
    named += [(("base_fabric",), order.base_fabric)] if order.base_fabric is not None else []
    for key, fabric in named:
        if fabric not in rules.fabrics:
            said = f"no fabric {fabric!r}{perhaps(fabric, rules.fabrics)}"
            yield fault(file, key, said, whole=_WHOLE)
    if order.mat is not None and order.mat not in rules.mats:
        yield fault(file, ("mat",), f"no mat {order.mat!r}{perhaps(order.mat, rules.mats)}", whole=_WHOLE)


def _means(pattern: str, path: str) -> bool:
    """Whether a name or pattern of the order means a design: by its file name, or with folders before it."""
    wanted, parts = pattern.casefold(), path.casefold().split("/")
    names = ["/".join(parts[k:]) for k in range(len(parts))]
    return wanted in names or any(fnmatch.fnmatchcase(name, wanted) for name in names)
