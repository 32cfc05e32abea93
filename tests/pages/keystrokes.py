"""The keystroke-level model, by which the time of a practised hand is reckoned.

Card, Moran and Newell, "The keystroke-level model for user performance time with
interactive systems", Communications of the ACM 23(7), 1980, 396-410. A task is the sum
of its operators; what the computer needs (R) is left out. The values are from memory:

=====================================================  ======
K, a key, a typist of about 40 words a minute           0.28 s
P, to point at a thing with a mouse                     1.10 s
B, to press and let go the button of the mouse          0.20 s
H, to move the hand between keys and mouse              0.40 s
M, to make up one's mind about what comes next          1.35 s
=====================================================  ======

B was counted as a key in the paper; 0.1 s each way is the later custom (Kieras). The
same paper gives 1.20 s for a key to who hardly types: `SLOW_KEY_S`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

KEY_S = 0.28
SLOW_KEY_S = 1.20
POINT_S = 1.10
BUTTON_S = 0.20
HOME_S = 0.40
MIND_S = 1.35


@dataclass
class Hands:
    """A leader's hands at a page: each act is done there, and counted.

    Everything that a leader has to make up the mind about is a decision: what to press,
    what to write, what to choose.
    """

    page: object
    decisions: int = 0
    keys: int = 0
    points: int = 0
    homes: int = 0
    at_mouse: bool = True
    said: list[str] = field(default_factory=list)

    def seconds(self, key_s: float = KEY_S) -> float:
        """Return the time of all that was done so far."""
        pointing = self.points * (POINT_S + BUTTON_S)
        thinking = self.decisions * MIND_S
        return self.keys * key_s + pointing + self.homes * HOME_S + thinking

    def decide(self, what: str) -> None:
        """Count a decision."""
        self.decisions += 1
        self.said.append(what)

    def press(self, selector: str) -> None:
        """Press something with the mouse."""
        self.decide(f"press {selector}")
        self._point()
        self.page.click(selector)

    def write(self, selector: str, text: str, *, enter: bool = False) -> None:
        """Point at a field, and write into it in place of what stands there."""
        self.decide(f"write {text!r} into {selector}")
        self._point()
        self.page.click(selector)
        self._hand_to(mouse=False)
        if self.page.input_value(selector):
            self._keys("ControlOrMeta+a", 2)
        self.page.keyboard.type(text)
        self.keys += len(text)
        if enter:
            self._keys("Enter", 1)

    def go_on(self, selector: str, text: str) -> None:
        """Go to the next field with the Tab key, and write there."""
        self.decide(f"write {text!r} into {selector}")
        self._hand_to(mouse=False)
        self._keys("Tab", 1)
        # What was written before may be shown anew in this very moment.
        at_it = "(selector) => document.activeElement.matches(selector)"
        self.page.wait_for_function(at_it, arg=selector)
        self.page.keyboard.type(text)
        self.keys += len(text)

    def key(self, key: str, times: int = 1) -> None:
        """Press a key, with no decision of its own."""
        self._hand_to(mouse=False)
        for _ in range(times):
            self._keys(key, 1)

    def tab_to(self, selector: str) -> None:
        """Go to something with the Tab key alone; it must be reached that way."""
        self.decide(f"go to {selector}")
        self._hand_to(mouse=False)
        for _ in range(400):
            self._keys("Tab", 1)
            if self._is_at(selector):
                return
        raise AssertionError(f"The keyboard does not reach {selector}.")

    def _is_at(self, selector: str) -> bool:
        """Whether it has the focus; looked for anew where the page drew it anew."""
        one = self.page.locator(selector).first
        at = "(one) => one.isConnected ? one === document.activeElement : null"
        while (found := one.evaluate(at)) is None:
            pass
        return found

    def _keys(self, key: str, count: int) -> None:
        self.page.keyboard.press(key)
        self.keys += count

    def _point(self) -> None:
        self._hand_to(mouse=True)
        self.points += 1

    def _hand_to(self, *, mouse: bool) -> None:
        self.homes += self.at_mouse is not mouse
        self.at_mouse = mouse
