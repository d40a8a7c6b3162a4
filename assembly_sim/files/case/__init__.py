"""Reading a case: text, schema, problems with their lines, the frozen description."""
