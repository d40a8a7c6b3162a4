"""How it is computed: mesh, tables, the compiled march, and the result."""
