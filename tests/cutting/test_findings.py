"""Every finding names its piece and place, says what was seen in a sentence, and what to do in another."""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.formats.stitchfile import read
from piecewright.cutting.geometry import Region, curved, frozen
from piecewright.cutting.mats import lay
from piecewright.cutting.mats.doubts import engine_doubt
from piecewright.cutting.mats.enginefaults import EngineError, EngineMissing, EngineOutOfTime, EngineSpent
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.outlines.blade import blade_findings
from piecewright.cutting.rules import BlocksByHand, PassRules, ReadingRules
from tests.cutting import sewing as sew
from tests.cutting.mats import support as mats
from tests.cutting.outlines.pieces_by_hand import Bench, rules
from tests.cutting.pieces.support import understood
from tests.samples import designs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from piecewright.cutting.findings import Finding
    from piecewright.cutting.geometry import FloatArray

Place = tuple[float, float]
CIRCLE, BESIDE = sew.circle(25.0), sew.circle(18.0, (70.0, 0.0))


@dataclass(frozen=True, slots=True)
class Case:
    """What makes a finding, and what it should say.

    Attributes:
        code: Of the finding.
        make: Gives all findings.
        says: A part of its message.
        piece: The piece that it names.
        place: Where it is, within a tenth of a millimetre.
    """

    code: str
    make: Callable[[], Iterable[Finding]]
    says: str
    piece: str | None = None
    place: Place | None = None


def outlined(
    line: FloatArray, *holes: FloatArray, sewn: dict[str, FloatArray] | None = None, **options: object
) -> Iterable[Finding]:
    """Of a piece B beside a disc A with which all is well."""
    bench = Bench()
    disc = sew.circle(20.0, (-200.0, -200.0))
    bench.add(sew.run(disc), cover=sew.satin(disc, 6.0))
    bench.add(sew.run(line), holes=[sew.run(hole, 1.0) for hole in holes], **(sewn or {}))  # type: ignore[arg-type]  # stitches by name
    return cut_outlines(bench.understanding(), rules(**options)).findings


def read_back(data: bytes, name: str) -> Iterable[Finding]:
    return read(data, name, ReadingRules()).findings


def barbell(bar: float, left: float = 20.0) -> FloatArray:
    """Two squares, 20 mm high, joined by a bar 10 mm long in the middle of their sides."""
    low, high = 10 - bar / 2, 10 + bar / 2
    return sew.polygon(
        (20 - left, 0), (20, 0), (20, low), (30, low), (30, 0), (60, 0),
        (60, 20), (30, 20), (30, high), (20, high), (20, 20), (20 - left, 20),
    )  # fmt: skip


def narrow_bolt() -> Iterable[Finding]:
    """A piece whose rectangle takes 11 in, from a bolt of 270 mm."""
    pieces = [
        mats.demand(mats.rectangle(20, 20), fabric="moss"),
        mats.demand(mats.rectangle(250, 50), "B", fabric="moss"),
    ]
    bolt = {"moss": {"width": "270 mm"}}
    return lay(pieces, mats.rules(way="patches", fabrics=bolt, turning="none")).findings


def unlisted_thread() -> Iterable[Finding]:
    """Pieces whose fabric goes by thread, one of them by a thread that the rules do not list."""
    job = mats.rules()
    by_thread = job.product.model_copy(
        update={"dealing": job.product.dealing.model_copy(update={"by_thread": {"green": "moss"}})}
    )
    pieces = [
        mats.demand(mats.rectangle(20, 20), fabric="moss"),
        mats.demand(mats.rectangle(20, 20), "B", fabric="gold"),
    ]
    return lay(pieces, job.model_copy(update={"product": by_thread})).findings


HEADER = designs.bird_blanket().written("dst").replace(b"ST:    ", b"ST: 999").replace(b"+X:  3", b"+X: 93")
LEFT_BEHIND = (
    b"\x01\x00\x05\x00".ljust(0x1D78, b"\0")
    + b"\x05\x00" * 1_000
    + b"\x80\x70\x00\x00"
    + random.Random(1).randbytes(400)  # noqa: S311 - reproducible noise
)
HILL = sew.dense(np.array([(-40.0, 0.0), (-40.0, -25.0), (40.0, -25.0), (40.0, 0.0)]))
DIVIDED = [sew.run(CIRCLE), sew.CUT, sew.run(sew.dense(np.array([(0.0, -25.0), (0.0, 25.0)])))]
SUN = sew.part(CIRCLE, 4.0, sew.length(CIRCLE) - 6.0)

CASES = [
    Case(
        "piece-falls-apart",
        lambda: outlined(barbell(4.0), offset="-2.5 mm"),
        "falls into 2 parts",
        "B",
        (10, 10),
    ),
    Case(
        "hole-closes",
        lambda: outlined(CIRCLE, sew.circle(1.4, (5.0, -3.0))),
        "a hole of piece B closes",
        "B",
        (5, -3),
    ),
    Case(
        "piece-vanishes", lambda: outlined(sew.circle(3), offset="-4 mm"), "Nothing is left of piece B", "B"
    ),
    Case(
        "piece-small", lambda: outlined(sew.circle(2.4, (7.0, 4.0)), offset=0), "has only 18 mm2", "B", (7, 4)
    ),
    Case(
        "narrow",
        lambda: outlined(sew.rectangle(0, 0, 60, 1.6), offset=0),
        "nowhere wider than 2 mm",
        "B",
        (30, 0.8),
    ),
    Case("neck", lambda: outlined(barbell(1.2), offset=0), "a neck narrower than 2 mm", "B", (25, 10)),
    Case(
        "outline-crosses",
        lambda: blade_findings(
            "B", curved(Region(exterior=frozen([(0, 0), (20, 0), (0, 20), (20, 20)]))), rules()
        ),
        "outline of piece B crosses itself",
        "B",
    ),
    Case(
        "spike",
        lambda: outlined(
            sew.polygon((0, 0), (20, 0), (20, 9), (40, 9), (40, 10.2), (20, 10.2), (20, 20), (0, 20)),
            offset=0,
        ),
        "a spike narrower than 2 mm",
        "B",
        (40, 9.6),
    ),
    Case(
        "corner-sharp",
        lambda: outlined(sew.polygon((0, 0), (60, 0), (60, 18)), offset=0),
        "corner of 17 degrees",
        "B",
        (0, 0),
    ),
    Case(
        "edge-shows",
        lambda: outlined(CIRCLE, sewn={"cover": sew.satin(CIRCLE, 2.0)}),
        "shows along 100 % of it",
        "B",
    ),
    Case("edge-close", lambda: outlined(CIRCLE, sewn={"cover": sew.satin(CIRCLE, 3.2)}), "lies only", "B"),
    Case(
        "reach-short",
        lambda: outlined(CIRCLE, sewn={"tack": sew.run(sew.circle(28.0))}),
        "misses the fabric by 1.",
        "B",
    ),
    Case(
        "fit-compromise",
        lambda: outlined(
            CIRCLE, sewn={"tack": sew.run(sew.circle(26.0)), "cover": sew.satin(CIRCLE, 3.0)}, offset="fit"
        ),
        "less beyond the tack-down and the raw edge lies",
        "B",
    ),
    Case(
        "notch-deep",
        lambda: outlined(CIRCLE, sewn={"tack": sew.run(CIRCLE)}, notches="2 mm"),
        "Notches of 2 mm",
        "B",
    ),
    Case("rescaled", lambda: outlined(CIRCLE, stretch_along_grain=1.02), "+2.0% along and +0.0% across"),
    Case(
        "unsure-piece",
        lambda: (
            understood(sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE)), PassRules(confidence=0.99)).findings
        ),
        "The closed line in block 1 may be",
        "A",
    ),
    Case(
        "open-line",
        lambda: understood(sew.design(sew.run(HILL), sew.run(HILL), sew.satin(HILL))).findings,
        "An open line in block 1 is sewn again in blocks 2 and 3",
        place=(40.0, 0.0),
    ),
    Case(
        "divided-piece",
        lambda: understood(sew.design(DIVIDED, DIVIDED, sew.satin(CIRCLE))).findings,
        "divide piece A into 2 parts",
        "A",
    ),
    Case(
        "gap-closed",
        lambda: understood(sew.design(sew.run(SUN), sew.run(CIRCLE), sew.satin(CIRCLE))).findings,
        "is not sewn for 9.9 mm",
        "A",
    ),
    Case(
        "no-tack-down",
        lambda: understood(sew.design(sew.run(CIRCLE, 3.0), sew.satin(CIRCLE))).findings,
        "holds piece A",
        "A",
    ),
    Case(
        "no-cover",
        lambda: understood(sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE))).findings,
        "edge of piece A",
        "A",
    ),
    Case(
        "placement-shares-block",
        lambda: (
            understood(
                sew.design(
                    [sew.fill(60, 0, 30, 30), sew.CUT, sew.run(CIRCLE)],
                    sew.run(CIRCLE, 2.0),
                    sew.satin(CIRCLE),
                )
            ).findings
        ),
        "sewn in block 1 together with other",
        "A",
    ),
    Case(
        "no-line-in-block",
        lambda: (
            understood(
                sew.design(sew.run(CIRCLE)), PassRules(by_hand=(BlocksByHand(placement=(7,)),))
            ).findings
        ),
        "The rules name block 7",
    ),
    Case(
        "larger-than-mat",
        lambda: (
            lay(
                [mats.demand(mats.rectangle(20, 20)), mats.demand(mats.rectangle(400, 310), "B")],
                mats.rules(),
            ).findings
        ),
        "Piece B does not go on the mat of 305 mm by 305 mm",
        "B",
    ),
    Case(
        "no-piece", lambda: understood(sew.design(sew.bean(CIRCLE), sew.bean(BESIDE))).findings, "in sewn.dst"
    ),
    Case("no-halt", lambda: understood(sew.design(sew.bean(CIRCLE))).findings, "has one block"),
    Case("thread-not-listed", unlisted_thread, "the thread gold, so that", "B"),
    Case("patch-beyond-fabric", narrow_bolt, "Piece B takes a rectangle of 279.4 mm by", "B"),
    Case("nesting-failed", lambda: [engine_doubt(EngineError())], "ended without an answer"),
    Case("nesting-missing", lambda: [engine_doubt(EngineMissing())], "not installed"),
    Case("layout-not-repeatable", lambda: [engine_doubt(EngineOutOfTime())], "time_limit_s"),
    Case(EngineSpent.code, lambda: [engine_doubt(EngineSpent())], EngineSpent.message),
    Case("header-disagrees", lambda: read_back(HEADER, "wren.dst"), "header tells of more"),
    Case("bytes-unread", lambda: read_back(LEFT_BEHIND, "a.sew"), "400 bytes"),
    Case(
        "travels-unmarked",
        lambda: read_back(designs.bird_blanket().written("vp3"), "a.vp3"),
        "taken for travels",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.code)
def test_a_finding_says_what_it_is_where_it_is_and_what_to_do(case: Case) -> None:
    findings = list(case.make())
    assert case.code in {finding.code for finding in findings}
    finding = next(each for each in findings if each.code == case.code)
    assert finding.piece == case.piece
    assert case.says in finding.message
    assert finding.piece is None or re.search(rf"\b{finding.piece}\b", finding.message)
    if case.place is not None:
        assert finding.place == pytest.approx(case.place, abs=0.6)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.code)
def test_a_finding_is_written_in_whole_sentences(case: Case) -> None:
    for finding in case.make():
        advice = finding.advice.partition("\n")[0]
        for text in (finding.message, advice):
            assert re.fullmatch(r"([A-Z0-9]|sewn\.dst ).*[a-z0-9).%:]", text), text
            assert not re.search(r"[A-Z]{4}|XX|\bNone\b|\bnan\b", text), text
        assert finding.message.endswith(".")
        assert len(advice) > 20


def test_pieces_named_in_findings_exist() -> None:
    for case in CASES:
        assert {finding.piece for finding in case.make()} <= {"A", "B", None}


def test_no_finding_of_the_core_is_left_out_here() -> None:
    files = (Path(__file__).parents[2] / "service" / "piecewright" / "cutting").rglob("*.py")
    source = "\n".join(path.read_text(encoding="utf-8") for path in files)
    codes = set(re.findall(r'\bFinding\(\s*code="([a-z-]+)"', source))
    codes |= {EngineError.code, *(error.code for error in EngineError.__subclasses__())}
    assert codes <= {case.code for case in CASES}
