"""Shared by all tests. This folder is on the path because of this file; shipped.py lies beside it."""
