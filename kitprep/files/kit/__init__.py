"""files/kit."""
