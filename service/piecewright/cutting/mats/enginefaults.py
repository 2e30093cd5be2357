"""Why the nesting engine gives no answer: each reason with the words of its finding.

The layout goes on by boxes whatever the reason is.
"""

from __future__ import annotations

from typing import ClassVar, Final

MOST_STRIPS: Final = 150
"""So many strips bound the work of one job, however many pieces it has."""


class EngineError(Exception):
    """The engine gives no answer; the layout does without it, with a finding of this code."""

    code: ClassVar[str] = "nesting-failed"
    message: ClassVar[str] = "The nesting engine ended without an answer."
    advice: ClassVar[str] = "Try the drop again; if it stays so, report it with the design."


class EngineMissing(EngineError):  # noqa: N818 - names the state, as the finding does
    """The engine is not installed here."""

    code = "nesting-missing"
    message = "The nesting engine is not installed on this machine."
    advice = "Install spyrrow if there is one for this machine, or set laying.effort to 0."


class EngineOutOfTime(EngineError):  # noqa: N818
    """The wall limit has passed."""

    code = "layout-not-repeatable"
    message = "Nesting was ended by laying.time_limit_s, so that another run may come out otherwise."
    advice = "Lower laying.effort, cut fewer pieces in one job, or raise the limit."


class EngineSpent(EngineError):  # noqa: N818
    """It has packed as many strips as one job may have."""

    code = "nesting-cut-short"
    message = f"Nesting this job took all of the {MOST_STRIPS} tries that one job has."
    advice = "Give the pieces in several drops, or set laying.effort to 0 if boxes will do."
