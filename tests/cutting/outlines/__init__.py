"""Tests of the cut outlines."""
