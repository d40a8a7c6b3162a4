"""What drives an assembly: the room, leaks, sun, sky and rain by the hour, and the calendar."""
