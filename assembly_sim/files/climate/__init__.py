"""Reading weather: formats, the check that all of them pass, years made of others."""
