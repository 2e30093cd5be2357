"""The table of blocks: one row for each purpose that a block serves."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from piecewright.cutting.findings import likeness
from piecewright.cutting.plaintext import plain
from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.design import Design, Thread
    from piecewright.cutting.findings import Finding
    from piecewright.cutting.passes import Pass
    from piecewright.cutting.pieces import Understanding


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What one block sews for one purpose.

    Attributes:
        block: Its number.
        thread: The thread's name or colour in words, "" if the file does not say.
        role: What it is for, such as ``placement``; "" for a block that sews nothing.
        stitch: How it is stitched.
        width_mm: Width across the direction of sewing; 0 for lines.
        stitches: Needle points.
        pieces: Letters of the pieces that it belongs to.
        passes: Numbers of its passes.
        confidence: 0 to 1, of the least sure of its passes.
        evidence: Sentences, each once.
    """

    block: int
    thread: str
    role: str
    stitch: str
    width_mm: float
    stitches: int
    pieces: tuple[str, ...]
    passes: tuple[int, ...]
    confidence: float
    evidence: tuple[str, ...]


def to_look_at(design: Design, understanding: Understanding) -> list[list[Finding]]:
    """The findings, equal ones together; a design without pieces an inspection tells in its own words."""
    alike: dict[object, list[Finding]] = {}
    for finding in (*design.findings, *understanding.findings):
        if finding.code != "no-piece":
            alike.setdefault(likeness(finding), []).append(finding)
    return list(alike.values())


def table(design: Design, understanding: Understanding) -> list[Row]:
    """Every block in sewing order, with what it sews."""
    by_block = {
        number: list(passes) for number, passes in groupby(understanding.passes, key=lambda one: one.block)
    }
    rows: list[Row] = []
    for block in design.blocks:
        thread = thread_words(block.thread)
        passes = by_block.get(block.number, [])
        rows.extend(_rows(block.number, thread, passes) or [_nothing(block.number, thread)])
    return rows


def thread_words(thread: Thread) -> str:
    """What to call a thread: its own name, its colour in a word or two, or its number."""
    return plain(thread.name or words.colour_name(thread.colour or "") or thread.catalog or "", 40)


def _rows(block: int, thread: str, passes: Sequence[Pass]) -> list[Row]:
    alike: dict[tuple[str, str], list[Pass]] = {}
    for one in passes:
        alike.setdefault((one.role.value, one.stitch.value), []).append(one)
    return [_row(block, thread, role, stitch, some) for (role, stitch), some in alike.items()]


def _row(block: int, thread: str, role: str, stitch: str, passes: Sequence[Pass]) -> Row:
    runs = [run for one in passes for run in one.runs]
    return Row(
        block=block,
        thread=thread,
        role=role,
        stitch=stitch,
        width_mm=max((run.width_mm for run in runs), default=0.0),
        stitches=sum(len(run.points) for run in runs),
        pieces=_each_once(piece for one in passes for piece in one.pieces),
        passes=tuple(one.number for one in passes),
        confidence=min(one.confidence for one in passes),
        evidence=_each_once(sentence for one in passes for sentence in one.evidence),
    )


def _nothing(block: int, thread: str) -> Row:
    return Row(
        block=block,
        thread=thread,
        role="",
        stitch="",
        width_mm=0.0,
        stitches=0,
        pieces=(),
        passes=(),
        confidence=1.0,
        evidence=(),
    )


def _each_once(items: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(items))
