"""Truth values, intervals, quantities and the language of rules.

Knows no volts and no plans, and imports nothing of the rest.
"""
