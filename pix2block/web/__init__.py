"""The worktable: the same work in a browser, on this machine."""
