"""Sweeps: many variants of one case, drawn, run, asked."""
