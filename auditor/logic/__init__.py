"""Truth values, intervals, quantities and the language of rules. Knows no volts, no plans; imports nothing of the rest."""
