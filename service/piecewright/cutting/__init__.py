"""The pure core: bytes and rules in, bytes and a report out; no disk, clock, log or chance."""
