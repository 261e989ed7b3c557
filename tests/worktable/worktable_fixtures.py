"""Types of the worktable's fixtures."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from httpx import Client, Response

Finish = Callable[[Client, Response], dict[str, Any]]
