"""From a fixture to its results: one module a topic, joined by ``evaluate``."""
