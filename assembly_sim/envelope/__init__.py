"""What follows from an assembly alone: how it stands, what sheds rain, where leaks go."""
