"""Drivers that every board shares. Importing one needs no chip: `machine` is imported only where a class uses it."""
