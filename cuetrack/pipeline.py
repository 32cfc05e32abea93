"""The whole way from a plan to files, as one short story."""
