"""Designs of our own scenario, and the script that makes them; shares nothing with the program."""
