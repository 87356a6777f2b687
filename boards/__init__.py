"""Code that runs on a board beside the controller: drivers (common) and one folder for each chip."""
