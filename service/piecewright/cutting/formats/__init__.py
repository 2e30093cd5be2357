"""Stitch files in, cut files out; each format stands alone."""
