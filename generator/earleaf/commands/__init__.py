"""The verbs of the `earleaf` command, each in a file of its name, and what they share."""
