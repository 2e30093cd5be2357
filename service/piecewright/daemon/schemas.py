"""The JSON Schemas of the rules and the report, as they are kept in config/."""

from __future__ import annotations

import json
from typing import Literal

from piecewright.cutting.report import Report
from piecewright.daemon.rulebook import Rulebook


def schema(what: Literal["rules", "report"]) -> str:
    """The JSON Schema as text, the same bytes each time.

    Args:
        what: ``rules`` for the rulebook, ``report`` for report.json.
    """
    model = Rulebook if what == "rules" else Report
    mode: Literal["validation", "serialization"] = "validation" if what == "rules" else "serialization"
    return json.dumps(model.model_json_schema(mode=mode), indent=2, ensure_ascii=False) + "\n"
