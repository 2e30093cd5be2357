"""Tests of the inspection."""
