"""The worktable: a page in the browser, served by this machine and for this machine only."""

from kitprep.worktable.serving import serve

__all__ = ["serve"]
