"""Results on disk: HDF5, CSV, hourly tables."""
