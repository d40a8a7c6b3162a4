"""Openings as people write them, and presets of what nobody measures."""
