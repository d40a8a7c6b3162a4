"""What a run means: evidence, rules, the level they allow, cautions, the summary of it all."""
