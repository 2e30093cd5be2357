"""The index of the outbox: pages that show every job, opened from a plain folder share.

Terms: an *entry* is what the index knows of one job; a *page* lists up to 500 jobs of one month, and
``index.html`` the newest of all, what is in work, what failed, and the rules in force; the *memory* is
the index's own small notes in ``outbox/.index``, so that a report is read only once. The memory may be
deleted at any time: it is made again from the reports.
"""

from piecewright.daemon.index.rebuilding import IndexState, rebuild

__all__ = ["IndexState", "rebuild"]
