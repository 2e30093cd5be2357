"""The formats: which are read, by which of pyembroidery's readers, and what is known of each.

The list of formats whose geometry and halts are read exactly, and of those that are not, comes from a
comparison of several hundred real files with pyembroidery 1.5.1.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from pyembroidery import (
    A10oReader,
    A100Reader,
    DsbReader,
    DstReader,
    DszReader,
    EmdReader,
    ExpReader,
    ExyReader,
    FxyReader,
    InbReader,
    JefReader,
    JpxReader,
    PecReader,
    PesReader,
    PhbReader,
    SewReader,
    StcReader,
    StxReader,
    TapReader,
    TbfReader,
    U01Reader,
    Vp3Reader,
    XxxReader,
)

from piecewright.cutting.errors import RefusedFormat
from piecewright.cutting.formats.stitchfile import containers as box
from piecewright.cutting.formats.stitchfile import endmarks as mark
from piecewright.cutting.formats.stitchfile import hus
from piecewright.cutting.formats.stitchfile.refusals import EXPORT
from piecewright.cutting.formats.stitchfile.tape import STUMBLES

if TYPE_CHECKING:
    from collections.abc import Callable
    from io import BytesIO

    from piecewright.cutting.formats.stitchfile.containers import Promise
    from piecewright.cutting.formats.stitchfile.tape import Recorder
    from piecewright.cutting.rules import ReadingRules


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One stitch format that is read.

    Attributes:
        name: Its usual ending in capitals.
        decode: Reads a stream into a recorder.
        inspect: Looks at the file's frame before it is decoded: raises if it cannot be whole, and
            returns what the file says of itself.
        ended: Whether the bytes before a position are the end mark; None if the format has none.
        bare: Whether the file holds nothing but stitches behind its header.
        jumps_that_cut: So many jumps in a row make the machine trim; 0 if it has trims of its own.
        travel_that_cuts_mm: A jump farther than this makes the machine trim; 0 for never.
        travels_as_stitches: Whether travels inside a block come back as stitches.
    """

    name: str
    decode: Callable[[BytesIO, Recorder], None]
    inspect: Callable[[bytes, str, ReadingRules], Promise] = box.unframed
    ended: Callable[[bytes, int], bool] | None = None
    bare: bool = False
    jumps_that_cut: int = 0
    travel_that_cuts_mm: float = 0.0
    travels_as_stitches: bool = False


def _whole(reader: Any) -> Callable[[BytesIO, Recorder], None]:  # noqa: ANN401 - an untyped module
    def decode(stream: BytesIO, out: Recorder) -> None:
        reader.read(stream, out)

    return decode


def _after(skip: int, stitches: Any) -> Callable[[BytesIO, Recorder], None]:  # noqa: ANN401
    """Only the stitches: headers of text are read here, since pyembroidery stumbles over odd ones."""

    def decode(stream: BytesIO, out: Recorder) -> None:
        stream.seek(skip)
        stitches(stream, out)

    return decode


def _pes(stream: BytesIO, out: Recorder) -> None:
    """PES; where its own part cannot be followed, only the PEC part, which holds all but thread names."""
    try:
        PesReader.read(stream, out)
    except STUMBLES:
        if len(out):
            raise
        stream.seek(8)
        stream.seek(int.from_bytes(stream.read(4), "little"))
        out.threadlist.clear()
        PecReader.read_pec(stream, out)


_TEXT_HEADER: Final = 512

_FORMATS: Final = (
    Format(
        name="DST",
        decode=_after(_TEXT_HEADER, DstReader.dst_read_stitches),
        inspect=box.dst,
        ended=mark.dst,
        bare=True,
        jumps_that_cut=3,
    ),
    Format(
        name="TAP", decode=_whole(TapReader), inspect=box.tap, ended=mark.tap, bare=True, jumps_that_cut=3
    ),
    Format(
        name="EXY", decode=_whole(ExyReader), inspect=box.exy, ended=mark.exy, bare=True, jumps_that_cut=3
    ),
    Format(name="PES", decode=_pes, inspect=box.pes, ended=mark.pec),
    Format(name="PEC", decode=_whole(PecReader), inspect=box.pec, ended=mark.pec),
    Format(name="PHB", decode=_whole(PhbReader), ended=mark.pec),
    Format(
        name="JEF",
        decode=_whole(JefReader),
        inspect=box.jef,
        ended=mark.jef,
        jumps_that_cut=3,
        travel_that_cuts_mm=3.0,
    ),
    Format(name="JPX", decode=_whole(JpxReader), inspect=box.jpx, ended=mark.jef),
    Format(name="EXP", decode=_whole(ExpReader), inspect=box.exp, bare=True),
    Format(name="STX", decode=_whole(StxReader), inspect=box.stx),
    Format(name="VP3", decode=_whole(Vp3Reader), inspect=box.vp3, travels_as_stitches=True),
    Format(name="HUS", decode=hus.read, inspect=box.hus),
    Format(name="XXX", decode=_whole(XxxReader), inspect=box.xxx, ended=mark.xxx),
    Format(name="SEW", decode=_whole(SewReader), inspect=box.sew),
    Format(name="TBF", decode=_whole(TbfReader), inspect=box.at_least(0x600), ended=mark.tbf),
    Format(name="U01", decode=_whole(U01Reader), inspect=box.at_least(0x100), ended=mark.u01, bare=True),
    Format(
        name="DSB",
        decode=_after(_TEXT_HEADER, DsbReader.b_stitch_encoding_read),
        inspect=box.text_header,
        ended=mark.dsb,
        bare=True,
    ),
    Format(
        name="DSZ", decode=_after(_TEXT_HEADER, DszReader.z_stitch_encoding_read), inspect=box.text_header
    ),
    Format(name="FXY", decode=_whole(FxyReader), inspect=box.at_least(0x100)),
    Format(name="10O", decode=_whole(A10oReader), ended=mark.a10o, bare=True),
    Format(name="100", decode=_whole(A100Reader), bare=True),
    Format(name="EMD", decode=_whole(EmdReader), inspect=box.at_least(0x30), ended=mark.emd),
    Format(name="INB", decode=_whole(InbReader), inspect=box.at_least(0x2000), ended=mark.inb),
    Format(name="STC", decode=_whole(StcReader), inspect=box.at_least(0x28), ended=mark.stc),
)

READABLE: Final = {form.name.lower(): form for form in _FORMATS}
"""Ending in small letters to format."""

_WRONG: Final = frozenset(
    "gt max pcs pcm pcq pcd bro ksm mit new zxy zhs dat shv spx phc pmv art".split()  # noqa: SIM905
)
"""Endings of stitch formats that come back in a wrong scale, with wrong halts, or not at all; the last
five were not among the real files compared, and what was not compared is not trusted."""

_WORKING: Final = frozenset({"emb", "be", "jan", "ofm", "pxf", "dgt", "thr", "vip", "vp4", "cnd"})
"""Endings of programs' working files and of stitch formats that no open reader understands."""

STITCH_ENDINGS: Final = frozenset(READABLE) | _WRONG | _WORKING
"""Endings that mean a design, readable or not; anything else in a drop is passed over."""


def format_of(name: str, inside: str | None = None) -> Format:
    """The format that a file name's ending says.

    Args:
        name: With its ending.
        inside: The format that the file shows to be, if known, for the advice.

    Raises:
        RefusedFormat: If it is none that is read.
    """
    stem, dot, ending = name.rpartition(".")
    ending = ending.lower() if dot and stem else ""
    if ending in READABLE:
        return READABLE[ending]
    if inside is not None and ending not in STITCH_ENDINGS:
        message = f"{name} is a {inside} file inside, but its name does not say so."
        raise RefusedFormat(message, f'Rename it so that it ends in ".{inside.lower()}" and drop it again.')
    raise RefusedFormat(_why_not(name, ending), EXPORT)


def _why_not(name: str, ending: str) -> str:
    if ending in _WRONG:
        return f"{name} is {ending.upper()}, a format that cannot be read true to scale and halts."
    if ending in _WORKING:
        return f"{name} is {ending.upper()}, a format that no open reader understands."
    if ending:
        return f'{name} ends in ".{ending}", which is no stitch format that is known.'
    return f"{name} has no ending that says its format."
