"""The pure core, module by module."""
