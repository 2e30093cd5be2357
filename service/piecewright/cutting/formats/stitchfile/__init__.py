"""Stage 1, reading: a stitch file's bytes become a design of blocks between halts.

Terms: a *record* is what a stitch file holds one after the other: needle point, jump, trim, halt or
end; the *end mark* is the record that closes the stitches; a *signature* is the bytes by which a kind
of file is known whatever it is called; a *tape* is all records as columns of numbers.

pyembroidery decodes the records. What it cannot know is done here, because a design that is read
halfway is cut wrongly: whether the file is what its ending says, whether it is whole, whether its
format is read true to scale, and whether it asks for more than the rules allow.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.design import Design
from piecewright.cutting.formats.stitchfile.assemble import blocks_of
from piecewright.cutting.formats.stitchfile.catalogue import READABLE, STITCH_ENDINGS, Format, format_of
from piecewright.cutting.formats.stitchfile.decode import decode
from piecewright.cutting.formats.stitchfile.plausible import check_size, check_stitches
from piecewright.cutting.formats.stitchfile.signatures import check_signature, stitch_format
from piecewright.cutting.formats.stitchfile.wholeness import hold_against_promise

if TYPE_CHECKING:
    from piecewright.cutting.rules import ReadingRules

__all__ = ["READABLE", "STITCH_ENDINGS", "Format", "format_of", "read"]


def read(data: bytes, name: str, rules: ReadingRules) -> Design:
    """Read one stitch file.

    COLOR_CHANGE, STOP and NEEDLE_SET all halt the machine and all begin a block; a needle chosen before
    the first needle point, and halts after the last one, begin none. Needle points are the records that
    sew; a trim is either a record of its own, or what the format's machines take for one (DST: three
    jumps in a row; JEF: jumps over 3 mm or three in a row). Appliqué steps of the PEC palette come as
    ``Thread.catalog`` ``PEC 62`` (material), ``PEC 63`` (position) and ``PEC 64`` (appliqué) and, if the
    file gives no name of its own, with that as ``Thread.name``.

    Args:
        data: The whole file.
        name: Its file name; the ending says the format.
        rules: Most bytes and most stitches that are read.

    Returns:
        The design in mm, y down, exactly as the file places it.

    Raises:
        RefusedFormat: If the ending is none that is read true to scale and halts.
        LimitPassed: If the file is larger, or has more stitches, than the rules allow.
        UnreadableDesign: If it is empty, cut short, renamed, damaged, or no design.
    """
    form = format_of(name, stitch_format(data))
    check_size(data, name, rules)
    check_signature(data, name, form)
    promise = form.inspect(data, name, rules)
    tape = decode(data, name, form, promise)
    doubts = hold_against_promise(tape, data, name, form, promise)
    check_stitches(tape, name, rules)
    blocks, marks = blocks_of(tape, form)
    return Design(name=name, format=form.name, blocks=blocks, findings=(*doubts, *marks))
