"""Laying on mats."""
