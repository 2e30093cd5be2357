"""The report of a job: its model, and how it is filled in from what the stages found."""

from piecewright.cutting.report.build import build_report, number_of_copies
from piecewright.cutting.report.model import (
    SCHEMA,
    EdgeEntry,
    ErrorEntry,
    FabricEntry,
    FileEntry,
    FindingEntry,
    LaidEntry,
    MatEntry,
    OutlineEntry,
    PassEntry,
    PieceEntry,
    Report,
    SourceEntry,
    TwinEntry,
)

__all__ = [
    "SCHEMA",
    "EdgeEntry",
    "ErrorEntry",
    "FabricEntry",
    "FileEntry",
    "FindingEntry",
    "LaidEntry",
    "MatEntry",
    "OutlineEntry",
    "PassEntry",
    "PieceEntry",
    "Report",
    "SourceEntry",
    "TwinEntry",
    "build_report",
    "number_of_copies",
]
