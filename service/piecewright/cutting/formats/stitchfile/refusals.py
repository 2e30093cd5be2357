"""Refusals of the reader, and the advice that goes with most of them."""

from __future__ import annotations

from typing import Final, NoReturn

from piecewright.cutting.errors import LimitPassed, UnreadableDesign

AGAIN: Final = "Copy it again from where it was saved, or export it again."
NOT_THIS: Final = "It is renamed or damaged: copy or export it again, or rename it to its true format."
EXPORT: Final = "Export the design again as PES, DST, JEF, EXP or XXX and drop that."


def unreadable(message: str, advice: str) -> NoReturn:
    """Refuse what is no whole design.

    Raises:
        UnreadableDesign: Always.
    """
    raise UnreadableDesign(message, advice)


def cut_short(name: str, detail: str) -> NoReturn:
    """Refuse a file whose end is missing."""
    unreadable(f"{name} is cut short: {detail}.", AGAIN)


def not_such_a_file(name: str, form: str, detail: str) -> NoReturn:
    """Refuse a file that is built otherwise than its ending says."""
    unreadable(f"{name} is no {form} file: {detail}.", NOT_THIS)


def limit_passed(message: str, option: str) -> NoReturn:
    """Refuse what is larger than an option of the rules allows.

    Raises:
        LimitPassed: Always.
    """
    raise LimitPassed(message, f"If it really is one design, raise limits: {option} in the rules.")
