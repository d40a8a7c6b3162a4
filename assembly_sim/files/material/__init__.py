"""Reading materials: entries, curves, words of the trade."""
