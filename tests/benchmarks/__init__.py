"""Measurements as ratios in one run; no asserts on time."""
