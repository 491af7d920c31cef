"""What every report says about safety and about what the numbers are."""

CAUTION = (
    "CAUTION: suspension work can injure or kill. These numbers describe the geometry of rigid links as measured; "
    "they do not prove a part strong or a car safe. The class rules, local law and a qualified mechanic come first: "
    "have every change checked before the car is driven."
)
SHORT_CAUTION = (
    "CAUTION: suspension work can injure or kill. Have a mechanic check it before the car is driven; more at the end."
)
