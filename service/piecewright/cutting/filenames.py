r"""Names of the files that leave: job, fabric, number of the mat, in words that every system takes.

Terms: a *slug* is a name made of letters, digits and single dashes, in whatever script it was typed.

Files begin with what the operator dropped, because that is what tells two jobs apart when their files
meet on a stick or in the cutter's program.

Windows is the strictest of the systems a share may be read from: it forbids ``< > : " / \ | ? *``,
control characters, a dot or blank at the end and some names of devices, sees no difference between
capitals and small letters, and is at ease only under 260 characters with all folders.
Source: Microsoft Learn, "Naming Files, Paths, and Namespaces".
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_MOST_CHARACTERS: Final = 40
_MOST_BYTES: Final = 80
"""Of one slug, in UTF-8: two slugs and the rest stay far under the 255 bytes of Linux's file systems."""

_DEVICES: Final = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³])", re.IGNORECASE)
"""Reserved by Windows, with any ending."""


_ENDING: Final = re.compile(r"(?<=.)\.[A-Za-z0-9]{3}$", re.DOTALL)
"""Of a stitch file or a zip: all have three characters; "order 1.5" has none."""


def mat_file(job: str, fabric: str, number: int, ending: str) -> str:
    """Name of a cut file of one mat; the number keeps the names of a job apart whatever the case.

    Args:
        job: What the job is known by.
        fabric: Label of the fabric, or "" if the mat carries several.
        number: Of the mat.
        ending: With its dot, such as ``.svg`` or ``-pen.svg``.
    """
    return "_".join(filter(None, (slug(job) or "job", slug(fabric), f"mat-{number}"))) + ending


def template_file(job: str) -> str:
    """Name of the paper template of a job."""
    return f"{slug(job) or 'job'}_paper-template.pdf"


def without_ending(name: str) -> str:
    """The name of a dropped file or folder without the ending of a stitch file or a zip."""
    return _ENDING.sub("", name)


def slug(text: str) -> str:
    """A name that every system takes as a file's; "" if nothing of the text can stay.

    Args:
        text: Anything that somebody typed.
    """
    composed = unicodedata.normalize("NFC", text)
    kept = "".join(character if _stays(character) else "-" for character in composed)
    short = _shortened(re.sub(r"-+", "-", kept).strip("-"))
    return f"{short}-" if _DEVICES.fullmatch(short) else short


def _stays(character: str) -> bool:
    """Letters, digits and the marks that letters of many scripts cannot be written without."""
    return unicodedata.category(character)[0] in "LN" or unicodedata.category(character) in {"Mn", "Mc"}


def _shortened(text: str) -> str:
    return text[:_MOST_CHARACTERS].encode()[:_MOST_BYTES].decode(errors="ignore").strip("-")
