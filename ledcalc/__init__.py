"""Plan, wire, test and tune multi-board LED plant lights."""
