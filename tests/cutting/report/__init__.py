"""The report as it is filled in."""
