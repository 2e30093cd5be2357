"""What is wrong in a file that people write: where, what was expected, what was perhaps meant.

Terms: a *fault* is one sentence with file, line and dotted key in front.
"""

from __future__ import annotations

import difflib
import reprlib
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pydantic_core import ErrorDetails

    from piecewright.daemon.yamlfile import Key, YamlFile

_EXPECTED: Final = {
    "tuple_type": "must be a list in square brackets, such as [one, two]",
    "dict_type": "must be keys with values, such as {one: moss}",
    "model_type": "must be a section with keys of its own",
    "string_type": "must be a word or a text in quotes",
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "string_pattern_mismatch": 'must be written like "#6b7f45", in quotes',
    "missing": "is missing and must be set",
}
"""The validator's kinds of error that a shop runs into, in the shop's words."""


def fault_of(details: ErrorDetails, file: YamlFile, *, whole: str, siblings: Iterable[str]) -> str:
    """One of the validator's errors as a fault.

    Args:
        details: What the validator says.
        file: What was read.
        whole: What to call the file where no key can be named.
        siblings: The keys that might stand where an unknown one does.
    """
    key = key_of(details, file)
    if details["type"] == "extra_forbidden":
        return fault(file, key, f"unknown key{perhaps(str(key[-1]), siblings)}", whole=whole)
    if details["type"] == "value_error":
        return fault(file, key, details["msg"].removeprefix("Value error, "), whole=whole)
    expected = _EXPECTED.get(details["type"]) or details["msg"].replace("Input should", "must")
    found = "" if details["type"] == "missing" else f" (found {reprlib.repr(details['input'])})"
    return fault(file, key, f"{expected}{found}", whole=whole)


def fault(file: YamlFile, key: Key, said: str, *, whole: str) -> str:
    """A sentence with file, line and dotted key in front, and a full stop."""
    dotted = ".".join(str(part + 1) if isinstance(part, int) else part for part in key)
    return f"{file.name}:{file.line_of(key)}: {dotted or whole}: {said.removesuffix('.')}."


def key_of(details: ErrorDetails, file: YamlFile) -> Key:
    """The key that an error is about, without the validator's own steps."""
    return tuple(part for part in details["loc"] if file.knows_step(part))


def perhaps(word: str, known: Iterable[str]) -> str:
    """The known word that was perhaps meant, as the end of a sentence; "" if none is near."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"; perhaps you meant {near[0]!r}" if near else ""
