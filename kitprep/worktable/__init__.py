"""worktable."""
