"""What every report says beside its findings."""

NOT_LOOKED_AT = (
    "This review looks at what is written, with the rules in force. It does not see the set, the bench or the person, "
    "and it does not say that a procedure is safe."
)
CAUTIONS = (
    "Mains voltage and charged capacitors kill. Local codes and licensed practice come first; where you are not sure, "
    "stop and ask somebody who is qualified."
)
