"""Putting the set of files on a board, and fetching its journal: over USB, by the raw REPL of MicroPython.

kinds.py what a board has to be; fileset.py what goes onto it; ports.py and link.py the way there; layout.py flash and file
system; copying.py the order in which files are changed; summary.py what the builder reads; journal_pull.py and
journal_show.py the journal.
"""
