"""The folder of a sweep: its plan, its rows, and what keeps them whole."""
