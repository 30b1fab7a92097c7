"""What can be learned: hazards, safeguards and the words of the trade, with numbers that the model computes."""
