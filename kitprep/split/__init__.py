"""split."""
