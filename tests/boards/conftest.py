"""No __init__.py in this folder: pytest puts tests/ on the path, and a package tests/boards would then be found as `boards`."""
