"""What drives an assembly and a house: air through openings under stack, wind and fans."""
