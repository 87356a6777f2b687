"""What the stand-in of a board has in place of boards/rp2040: a program that does to files and console what theirs does."""
