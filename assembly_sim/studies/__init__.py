"""Many runs: what a verdict hangs on, and what would tip it."""
