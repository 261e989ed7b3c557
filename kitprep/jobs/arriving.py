"""Judges the paths of files that are sent to be imported."""

from __future__ import annotations


def why_not_stored(path: str) -> str | None:
    """Why a file that is sent must not be stored at this path within a folder, on any system.

    Parameters
    ----------
    path : str
        Its parts divided by slashes.

    Returns
    -------
    str or None
        A clause; None where it may be stored.

    Examples
    --------
    >>> why_not_stored("Tags/con.jpg"), why_not_stored("Tags/Which one?.png")
    ("'con.jpg' is the name of a device on Windows", None)
    """
    from kitprep.files.kit.names import safe_name, why_unsafe

    if why := why_unsafe(path):
        return why
    if ":" in path:
        return f"'{path}' has a colon"
    for part in path.split("/"):
        # Windows drops them at the end of a name, which may leave a name that leads elsewhere.
        if not part.rstrip(" ."):
            return f"'{path}' has a folder or file without a name"
        # What Windows forbids is replaced one for one; only the name of a device grows.
        if len(safe_name(part)) > len(part):
            return f"'{part}' is the name of a device on Windows"
    return None
