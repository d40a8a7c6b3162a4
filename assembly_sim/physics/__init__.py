"""What nature does: one equation, one short function, with source, range and units."""
