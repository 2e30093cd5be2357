"""One tree of errors: each has a stable code, says what happened and what the operator can do.

Terms: an *error* stops a job; a *finding* (findings.py) is a doubt that does not.
"""

from __future__ import annotations

from typing import ClassVar, Literal


class PiecewrightError(Exception):
    """Base of everything that the program raises on purpose.

    Attributes:
        code: Stable name of the kind of error, for reports and scripts.
        blame: Whose fault it is: of the ``drop`` (it goes to failed/) or ``ours`` (it is tried again).
        message: What happened, one sentence.
        advice: What the operator can do about it, one sentence.
    """

    code: ClassVar[str] = "error"
    blame: ClassVar[Literal["drop", "ours"]] = "drop"

    def __init__(self, message: str, advice: str) -> None:
        """Keep the two sentences."""
        super().__init__(message)
        self.message = message
        self.advice = advice

    def __str__(self) -> str:
        """Both sentences."""
        return f"{self.message} {self.advice}"


class QuantityError(PiecewrightError, ValueError):
    """A length, duration or size in the rules that is no number with a unit."""

    code = "quantity"
    blame = "ours"

    def __init__(self, text: object, what: str, units: tuple[str, ...], example: str) -> None:
        """Say what was found and what would do."""
        super().__init__(
            f"{text!r} is not a {what} with a unit.",
            f'Write a number and one of {", ".join(units)}, like "{example}".',
        )


class UnreadableDesign(PiecewrightError):  # noqa: N818 - names the thing, as a sewer would
    """The file is no design that can be read whole: empty, cut short, renamed or damaged."""

    code = "unreadable-design"


class RefusedFormat(PiecewrightError):  # noqa: N818
    """A format that cannot be read true to scale and halts; another must be exported."""

    code = "refused-format"


class LimitPassed(PiecewrightError):  # noqa: N818
    """The design is larger than the limits in the rules."""

    code = "limit-passed"


class SelfCheckFailed(PiecewrightError):  # noqa: N818
    """A file about to leave does not say what the layout says; the job is kept back."""

    code = "self-check-failed"

    def __init__(
        self,
        message: str,
        advice: str = "Keep the design and the rules, and show them to whoever looks after the program.",
    ) -> None:
        """Say what differs; no operator can mend it, so the advice is the same for nearly all."""
        super().__init__(message, advice)

    @classmethod
    def unless(cls, fine: bool, message: str) -> None:
        """See that something is as it must be.

        Raises:
            SelfCheckFailed: With this message, if it is not.
        """
        if not fine:
            raise cls(message)


class RulesError(PiecewrightError):
    """The rules cannot be used as they are written."""

    code = "rules"
    blame = "ours"
