"""Tests of Piecewright."""
