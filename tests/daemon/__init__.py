"""The shell on real temporary folders."""
