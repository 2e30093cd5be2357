"""Outputs compared with kept files."""
