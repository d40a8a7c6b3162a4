"""Words and units, made last: what a check found, as a sentence in SI or IP."""
