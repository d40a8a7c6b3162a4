"""How it is computed: mesh, tables, forcing, the compiled march, and the result."""
