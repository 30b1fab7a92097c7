"""The trade says one thing in several words: tube and valve, earth and ground, B+ and HT, AC and alternating
current.

A plan may use either; inside the program one spelling stands for one thing.
"""

SAME_WORD = {
    "valve": "tube",
    "valves": "tubes",
    "ground": "earth",
    "grounded": "earthed",
    "ht": "B+",
    "b+": "B+",
    "b_plus": "B+",
    "polarized": "polarised",
    "unpolarized": "unpolarised",
    "energized": "energised",
    "antenna": "aerial",
    "condenser": "capacitor",
    "condensers": "capacitors",
    "ac": "alternating current",
    "dc": "direct current",
    "ac/dc": "either",
}

UNKNOWN = "unknown"
"""Writing this word means the same as leaving the line out: the fact is not stated."""


def one_spelling(text: str) -> str:
    """The text with every word that has a preferred spelling put into it, case kept elsewhere.

    >>> one_spelling("HT to chassis"), one_spelling("rectifier valve")
    ('B+ to chassis', 'rectifier tube')
    """
    return " ".join(SAME_WORD.get(word.lower(), word) for word in text.split())


def one_key(key: str) -> str:
    """The same for a key, whose words are joined by underscores.

    >>> one_key("valve_heaters"), one_key("output_grounded"), one_key("HT_peak")
    ('tube_heaters', 'output_earthed', 'B+_peak')
    """
    return "_".join(SAME_WORD.get(part.lower(), part) for part in key.replace("b_plus", "B+").split("_"))
