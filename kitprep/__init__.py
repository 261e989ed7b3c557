"""kitprep."""
