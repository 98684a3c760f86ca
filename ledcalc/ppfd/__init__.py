"""PPFD over an area, predicted or measured: statistics, what a map was taken under, dose and efficacy."""
