"""YAML with line numbers: what stands where in a file that people write.

Terms: a *key* is the way to a value, such as ``("products", 0, "offset")``.
"""

from __future__ import annotations

import reprlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import yaml

from piecewright.cutting.errors import RulesError

if TYPE_CHECKING:
    from collections.abc import Mapping

Key = tuple[str | int, ...]

_DEEPEST = 30
"""No rules nest deeper; aliases that contain themselves would."""
_MOST_VALUES = 100_000
"""No shop has so many rules; a page of aliases inside aliases stands for thousands of millions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YamlFile:
    """A file that was read.

    Attributes:
        name: For messages.
        data: Mappings, lists and scalars.
        lines: Line number, from 1, of each key.
    """

    name: str
    data: Any
    lines: Mapping[Key, int]

    def line_of(self, key: Key) -> int:
        """The line of a key, or of the nearest part of the file that contains it."""
        while key and key not in self.lines:
            key = key[:-1]
        return self.lines.get(key, 1)

    def knows_step(self, part: str | int) -> bool:
        """Whether any key of the file has this step; a validator's own words are none."""
        return any(part in key for key in self.lines) or isinstance(part, int) or part.isidentifier()


def read_yaml(text: str, name: str) -> YamlFile:
    """Read YAML as plain data, refusing doubled keys, tags and aliases that contain themselves.

    Raises:
        RulesError: If it is no YAML; with file and line.
    """
    try:
        root = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.MarkedYAMLError as error:
        line = error.problem_mark.line + 1 if error.problem_mark else 1
        message = f"{name}:{line}: this is no YAML: {error.problem or error.context}."
        raise RulesError(message, "Mend the line; indentation and colons are the usual slips.") from error
    except yaml.YAMLError as error:
        message = f"{name}: this is no YAML: {error}."
        raise RulesError(message, "Save it as plain UTF-8 text.") from error
    lines: dict[Key, int] = {}
    data = _build(root, (), lines, name) if root is not None else {}
    return YamlFile(name=name, data=data, lines=lines)


def _build(node: yaml.Node, key: Key, lines: dict[Key, int], name: str) -> Any:  # noqa: ANN401 - YAML holds anything
    line = node.start_mark.line + 1
    lines.setdefault(key, line)
    if len(lines) > _MOST_VALUES:
        message = f"{name}:{line}: the file says more than {_MOST_VALUES:,} things."
        raise RulesError(message, "Remove aliases (*name) that repeat what repeats others.")
    if len(key) > _DEEPEST:
        message = f"{name}:{line}: the rules nest too deep."
        raise RulesError(message, "Remove the alias that contains itself.")
    if isinstance(node, yaml.MappingNode):
        return _build_mapping(node, key, lines, name)
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, (*key, number), lines, name) for number, item in enumerate(node.value)]
    return _scalar(node, name)


def _build_mapping(node: yaml.MappingNode, key: Key, lines: dict[Key, int], name: str) -> dict[Any, Any]:
    found: dict[Any, Any] = {}
    for key_node, value in node.value:
        step = _scalar(key_node, name)
        line = key_node.start_mark.line + 1
        if step in found:
            message = f"{name}:{line}: the key {step!r} stands here a second time."
            raise RulesError(message, "Keep one of the two.")
        lines[(*key, step)] = line
        found[step] = _build(value, (*key, step), lines, name)
    return found


def _scalar(node: yaml.Node, name: str) -> Any:  # noqa: ANN401 - YAML holds anything
    line = node.start_mark.line + 1
    if not isinstance(node, yaml.ScalarNode):
        message = f"{name}:{line}: a key must be a plain word."
        raise RulesError(message, "Write the key as a word followed by a colon.")
    loader = yaml.SafeLoader("")
    try:
        return loader.construct_object(node)
    except (yaml.YAMLError, ValueError) as error:
        message = f"{name}:{line}: {reprlib.repr(node.value)} cannot be read as {node.tag}."
        raise RulesError(message, "Put it in quotes.") from error
    finally:
        loader.dispose()
