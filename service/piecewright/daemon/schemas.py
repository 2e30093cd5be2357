"""The JSON Schemas of the rules, of a drop's order and of the report, as they are kept in config/."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal

from piecewright.cutting.report import Report
from piecewright.daemon.drops import Order
from piecewright.daemon.rulebook import Rulebook

if TYPE_CHECKING:
    from pydantic import BaseModel

What = Literal["rules", "order", "report"]
"""The rulebook, the order.yaml that a drop may bring, or report.json."""


def schema(what: What) -> str:
    """The JSON Schema as text, the same bytes each time."""
    if what == "report":
        return _text(Report.model_json_schema(mode="serialization"))
    model: type[BaseModel] = Rulebook if what == "rules" else Order
    return _text(model.model_json_schema(mode="validation"))


def _text(content: dict[str, Any]) -> str:
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"
