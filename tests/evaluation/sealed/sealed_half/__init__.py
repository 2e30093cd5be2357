"""The sealed half: situations that are scored, and whose designs nobody looks at one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.evaluation.sealed.sealed_half.drawings import DRAWINGS
from tests.evaluation.sealed.sealed_half.embroidery import EMBROIDERY
from tests.evaluation.sealed.sealed_half.exports import EXPORTS
from tests.evaluation.sealed.sealed_half.habits import HABITS
from tests.evaluation.sealed.sealed_half.hoop import HOOP
from tests.evaluation.sealed.sealed_half.letters import LETTERS
from tests.evaluation.sealed.sealed_half.pictures import PICTURES

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tests.evaluation.sealed.bench import Bench

SITUATIONS: Mapping[str, Callable[[Bench], None]] = {
    one.__name__.replace("_", "-"): one
    for one in (*LETTERS, *PICTURES, *HOOP, *HABITS, *EXPORTS, *DRAWINGS, *EMBROIDERY)
}
