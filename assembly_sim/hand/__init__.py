"""Steady and monthly methods and code rows: they stand beside a run and never decide."""
