"""Plans of sweeps as files."""
