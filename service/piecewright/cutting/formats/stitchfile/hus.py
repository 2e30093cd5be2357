"""HUS: three columns of packed bytes, unpacked by pyembroidery under a guard.

The packing is a Lempel-Ziv-Huffman one whose codes have at most 16 bits. pyembroidery builds its tables
before it notices longer ones: a few bytes can ask for gigabytes.
"""

from __future__ import annotations

from io import SEEK_END
from typing import TYPE_CHECKING, Any, Final

from pyembroidery.EmbCompress import EmbCompress
from pyembroidery.EmbThreadHus import get_thread_set

if TYPE_CHECKING:
    from collections.abc import Callable
    from io import BytesIO

    from piecewright.cutting.formats.stitchfile.tape import Recorder

_LONGEST_CODE: Final = 16
_LENGTHS_BEFORE_CODES: Final = 2
"""The first three symbols of the code for lengths are skips; the lengths follow from the value 3 = 1."""

_HEADER_COLOURS: Final = 42
_STITCH, _JUMP, _COLOUR, _TRIM = 0x80, 0x81, 0x84, 0x88


class _Unpacker(EmbCompress):  # type: ignore[misc]  # pyembroidery has no types
    """Raises ValueError before a table for codes that cannot be."""

    def read_variable_length(self) -> int:
        """A code's length, of the two small tables."""
        length: int = super().read_variable_length()
        _check(length)
        return length

    def load_character_huffman(self, length_huffman: Any) -> Any:  # noqa: ANN401
        """The big table, whose lengths are the symbols of the small one."""
        lengths = length_huffman.lengths
        longest = length_huffman.default_value if lengths is None else len(lengths) - 1
        if lengths is not None:
            longest = max((k for k, bits in enumerate(lengths) if bits), default=0)
        _check(longest - _LENGTHS_BEFORE_CODES)
        return super().load_character_huffman(length_huffman)


def _check(length: int) -> None:
    if length > _LONGEST_CODE:
        message = f"a code of {length} bits"
        raise ValueError(message)


def read(stream: BytesIO, out: Recorder) -> None:
    """Read a whole file whose header has been inspected.

    Raises:
        ValueError: If the packing makes no sense; as does whatever else pyembroidery raises.
    """
    data = stream.getvalue()
    count, colours = (int.from_bytes(data[k : k + 4], "little") for k in (4, 8))
    columns = [int.from_bytes(data[k : k + 4], "little") for k in (20, 24, 28)]
    stream.seek(columns[0])  # what goes wrong from here on goes wrong in the middle of the file
    known = get_thread_set()
    for k in range(colours):
        at = _HEADER_COLOURS + 2 * k
        number = int.from_bytes(data[at : at + 2], "little")
        out.add_thread(known[number] if number < len(known) else None)
    commands, xs, ys = (
        _Unpacker().decompress(data[a:b], count) for a, b in zip(columns, [*columns[1:], None], strict=True)
    )
    calls: dict[int, Callable[[float, float], None]] = {
        _STITCH: out.stitch, _JUMP: out.move, _COLOUR: out.color_change, _TRIM: out.trim,
    }  # fmt: skip
    for command, x, y in zip(commands, xs, ys, strict=False):
        call = calls.get(command)
        if call is None:
            break
        call(_signed(x), -_signed(y))
    stream.seek(0, SEEK_END)
    out.end()


def _signed(byte: int) -> int:
    return byte - 256 if byte > 127 else byte  # noqa: PLR2004 - two's complement
