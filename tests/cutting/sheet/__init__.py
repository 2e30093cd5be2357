"""The job sheet."""
