"""What `compare` prints and writes: the answer, tables, ranking, checklist, JSON and CSV."""
