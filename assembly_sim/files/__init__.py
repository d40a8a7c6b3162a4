"""All reading and writing."""
