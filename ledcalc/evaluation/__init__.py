"""The pieces that ``ledcalc.evaluate`` joins: one module a topic, each from a fixture to its part of the results."""
