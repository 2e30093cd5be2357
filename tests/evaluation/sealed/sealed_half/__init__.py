"""The sealed half: situations that are scored, and whose designs nobody looks at one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tests.evaluation.sealed.bench import Bench

SITUATIONS: Mapping[str, Callable[[Bench], None]] = {}
