"""What is asked of a result: pure functions that return findings and run nothing."""
