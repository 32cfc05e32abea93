"""Lengths of thirty texts as the default English voice says them.

Milliseconds from speech start to speech end, trimmed at -40 dB. None of these
texts was used to fit the estimate. Measured with tests/benchmarks/estimate.py.
"""

LENGTHS_MS = {
    "Three.": 400,
    "Two.": 348,
    "One.": 423,
    "Go!": 343,
    "Five.": 457,
    "Seven.": 463,
    "Rest now.": 723,
    "Halfway.": 596,
    "Fifteen seconds.": 1451,
    "Ten seconds left.": 1518,
    "Keep your heels down.": 1256,
    "Sit tall, shoulders down.": 1906,
    "Breathe out as you push.": 1460,
    "Lift your toes and hold.": 1469,
    "Slow down if you need to.": 1503,
    "You can keep your hands on the chair.": 2205,
    "Feet flat on the floor, hip width apart, back away from the chair.": 5141,
    "Squeeze and hold.": 1261,
    "If anything hurts, stop and rest.": 2841,
    "That was the third of six.": 1838,
    "Last one before the recovery.": 2117,
    "Well done, everybody.": 1909,
    "Punch forward and back, one arm, then the other.": 4081,
    "Turn your head slowly to the right, and back to the middle.": 3768,
    "Stand up slowly and wait a moment before you walk.": 3332,
    "March easily and let your arms swing.": 2838,
    "Stretch your calf, heel on the floor, toes up.": 3356,
    "Circle your ankles, five times each way.": 3543,
    "Open your arms wide, and bring them back across your chest.": 4639,
    "Next, toe taps to the side. Watch first, then join in.": 5459,
}
