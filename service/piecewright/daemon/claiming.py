"""From the inbox to the bench: claims while there is room, and what becomes of a claim that fails."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import structlog

from piecewright.daemon import claims, outbox
from piecewright.daemon.errors import SpecialFile
from piecewright.daemon.printable import printable

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.daemon.bench import Bench
    from piecewright.daemon.folders import Folders
    from piecewright.daemon.intake import Candidate, Intake
    from piecewright.daemon.jobfolder import Claim
    from piecewright.daemon.rulebook import Rulebook
    from piecewright.daemon.surroundings import Surroundings

_CLAIM_AGAIN_S: Final = 5.0
"""After a claim that the disk refused."""
_MOVE_AGAIN_S: Final = 60.0
"""An entry that may not be moved is looked at again so late, and the others go on at once,"""
_NEXT_CLAIM_S: Final = 0.2
"""or nearly so: thousands of such entries must not keep the service from everything else."""

_log = structlog.get_logger(__name__)


@dataclass(slots=True, kw_only=True)
class Claiming:
    """Claims what is ripe.

    Attributes:
        folders: The five folders.
        intake: Knows what is ripe.
        bench: Takes what is claimed.
        around: Disk and clocks.
        take_up: Takes up whatever lies in work/ and is not on the bench.
    """

    folders: Folders
    intake: Intake
    bench: Bench
    around: Surroundings
    take_up: Callable[[], None]
    _not_before: float = 0.0

    def while_there_is_room(self, rulebook: Rulebook) -> None:
        """Claim one candidate after another, each by the rules in force."""
        while self.bench.has_room and self.around.clock() >= self._not_before:
            candidate = next(self.intake.candidates(rulebook), None)
            if candidate is None:
                return
            self._claim(candidate, rulebook)

    def _claim(self, candidate: Candidate, rulebook: Rulebook) -> None:
        rules = rulebook.job_rules(candidate.product)
        try:
            claim = claims.take(
                self.around.disk, self.folders, candidate.sightings, rules, self.around.today()
            )
        except OSError as error:
            self._failed(candidate, error)
            return
        except claims.NotMoved as error:
            self.intake.stays(candidate, str(error), pause=_MOVE_AGAIN_S)
            self._not_before = self.around.clock() + _NEXT_CLAIM_S
            return
        self.intake.claimed(candidate)
        if claim is None:
            return
        self.bench.add(claim)
        _log.info("claimed", job=claim.job, drop=printable(claim.name), product=claim.product)
        if any(sighting.signature.kind == "special" for sighting in candidate.sightings):
            self._refuse(claim)
        self.bench.tend()

    def _refuse(self, claim: Claim) -> None:
        message = f"{printable(claim.name)} is a link or a device, not a file."
        error = SpecialFile(message, "Drop the file itself.")
        outbox.refuse(self.around.disk, self.folders.work / claim.job, claim.product, error)

    def _failed(self, candidate: Candidate, error: OSError) -> None:
        """Such as a full disk: wait a little, and take up whatever had been moved by then."""
        self.intake.stays(
            candidate, f"It cannot be moved to work now: {printable(error.strerror or str(error))}."
        )
        self._not_before = self.around.clock() + _CLAIM_AGAIN_S
        _log.warning("cannot claim", drop=printable(candidate.sightings[0].name), message=str(error))
        self.take_up()
