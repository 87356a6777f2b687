"""Exhaustive search: every reachable state of the controller's real classes over finite alphabets of inputs."""
