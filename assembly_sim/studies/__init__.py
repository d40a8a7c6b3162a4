"""Many runs: what would tip a verdict, comparisons, sweeps."""
