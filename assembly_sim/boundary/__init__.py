"""What drives an assembly and a house: room, leaks, sun, sky, rain, calendar; air of openings."""
