"""Serious rules for which no plan is kept that does harm and that only they stop, and why they stay."""

from __future__ import annotations

SECOND_LINE = "a second line"
SILENT = "a silent safeguard"
FOUND_BEFORE = "finds before what another contains"
NOT_PLAYED = "not played by the model"
NOT_FOUND = "not found yet"

WHY: dict[str, str] = {
    SECOND_LINE: "What it prevents is also contained by something else that the rules ask for (isolation, a residual "
                 "current device, a fuse, the lamp, somebody who watches), which may fail: two faults, where one is played.",
    SILENT: "It proves a safeguard whose failing does nothing by itself, and so is not noticed until it is needed.",
    FOUND_BEFORE: "It finds a fault before power that lamp, fuse or stop would contain once it shows.",
    NOT_PLAYED: "The model has no law for what it prevents: a second person, reach, categories of meters, wear, handling.",
    NOT_FOUND: "A plan of this kind should exist; the search has not come across it.",
}

REASONS: dict[str, str] = {
    "inspect-the-cord-before-power": SECOND_LINE,
    "know-which-pin-reaches-the-chassis": SECOND_LINE,
    "insulate-the-mains-from-metal": SECOND_LINE,
    "residual-current-device-where-nothing-isolates": SECOND_LINE,
    "y-capacitor-from-line-to-chassis": SECOND_LINE,
    "y-capacitor-small-enough-to-touch": SECOND_LINE,
    "isolate-a-hot-chassis": SECOND_LINE,
    "no-isolated-chassis-without-a-transformer": SECOND_LINE,
    "keep-a-hot-chassis-off-earth": SECOND_LINE,
    "no-trust-in-a-residual-current-device-past-isolation": SECOND_LINE,
    "first-power-through-the-lamp": SECOND_LINE,
    "first-lamp-not-too-large": SECOND_LINE,
    "lamp-still-limits": SECOND_LINE,
    "fuse-the-output-of-the-dial": SECOND_LINE,
    "stop-at-numbers": SECOND_LINE,
    "read-the-meters-at-every-rise": SECOND_LINE,
    "watch-b-plus-on-the-way-up": SECOND_LINE,
    "watch-a-selenium-rectifier": SECOND_LINE,
    "x-capacitor-across-the-line": SECOND_LINE,
    "leakage-test-before-handing-over": SECOND_LINE,
    "discharge-before-proving-dead": SECOND_LINE,
    "discharge-gently-and-long-enough": SECOND_LINE,
    "prove-dead-by-a-number": SECOND_LINE,
    "count-no-dial-or-lamp-against-shock": SECOND_LINE,
    "filament-lamp-only": SECOND_LINE,
    "no-earth-on-a-hot-chassis": SECOND_LINE,
    "lead-the-bond-to-a-real-earth": SILENT,
    "measure-the-earth-of-a-bonded-set": SILENT,
    "earth-measured-before-handing-over": SILENT,
    "prove-the-isolation-before-use": SILENT,
    "prove-the-limiter-with-a-shorted-plug": SILENT,
    "check-the-limiter-through": SILENT,
    "prove-the-bench-again-after-work-on-it": SILENT,
    "prove-the-meter-before-and-after": SILENT,
    "prove-the-meter-after-the-last-dead-test": SILENT,
    "prove-dead-with-a-voltmeter": SILENT,
    "confirm-the-fuse-before-the-lamp-goes-out": SILENT,
    "look-inside-before-power": FOUND_BEFORE,
    "see-the-plug-open-with-the-switch-off": FOUND_BEFORE,
    "know-the-plug-resistance-with-the-switch-on": FOUND_BEFORE,
    "check-b-plus-for-a-short": FOUND_BEFORE,
    "tap-for-the-voltage-of-the-bench": FOUND_BEFORE,
    "frequency-that-the-iron-is-made-for": FOUND_BEFORE,
    "bench-before-the-wall": NOT_PLAYED,
    "leave-the-earth-on-the-instruments": NOT_PLAYED,
    "meters-made-for-the-mains": NOT_PLAYED,
    "meters-made-for-the-voltage": NOT_PLAYED,
    "no-ammeter-across-a-voltage": NOT_PLAYED,
    "clip-the-meter-while-dead": NOT_PLAYED,
    "take-the-meters-off-before-handing-over": NOT_PLAYED,
    "have-someone-who-can-cut-the-power": NOT_PLAYED,
    "switch-within-reach": NOT_PLAYED,
    "find-the-cause-before-power-comes-back": NOT_PLAYED,
    "power-from-the-mains-that-the-set-is-made-for": NOT_PLAYED,
    "no-direct-current-through-iron": NOT_PLAYED,
    "do-only-what-can-be-done": NOT_PLAYED,
    "no-insulation-tester-on-b-plus": NOT_PLAYED,
    "reform-through-a-resistor-that-stands-it": NOT_PLAYED,
    "keep-the-set-within-its-rating": NOT_PLAYED,
    "reform-no-damaged-capacitor": NOT_FOUND,
    "limit-the-reforming-current": NOT_FOUND,
    "end-with-the-plug-out": NOT_FOUND,
    "capacitors-within-their-rating-on-silicon": NOT_FOUND,
    "brush-within-its-rating": NOT_FOUND,
    "keep-the-dial-near-the-plate-on-the-lamp": NOT_FOUND,
}
"""The name of the rule, and one of WHY."""
