"""Runs and how they are stitched."""
