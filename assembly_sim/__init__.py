"""Hour-by-hour heat and moisture through layered wall and roof assemblies."""

__version__ = "0.1.0"
