"""The JSON Schemas of the rules, of a drop's order and of the report, as they are kept in config/."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from pydantic import BaseModel

What = Literal["rules", "order", "report"]
"""The rulebook, the order.yaml that a drop may bring, or report.json."""


def schema(what: What) -> str:
    """The JSON Schema as text, the same bytes each time."""
    mode: Literal["serialization", "validation"] = "serialization" if what == "report" else "validation"
    content: dict[str, Any] = _model(what).model_json_schema(mode=mode)
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def _model(what: What) -> type[BaseModel]:
    """The model, of which only this one is imported: the report's needs the whole core."""
    if what == "report":
        from piecewright.cutting.report import Report  # noqa: PLC0415 - see above

        return Report
    if what == "order":
        from piecewright.daemon.drops import Order  # noqa: PLC0415 - see above

        return Order
    from piecewright.daemon.rulebook import Rulebook  # noqa: PLC0415 - see above

    return Rulebook
