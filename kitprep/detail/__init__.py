"""detail."""
