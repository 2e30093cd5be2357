"""Roles and pieces."""
