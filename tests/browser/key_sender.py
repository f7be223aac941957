"""A device that types: a scanner, or a gauge that sends its readings as a keyboard.

Keys are sent through the browser's own input with the times that the device or a hand would give them, so that a busy
machine changes nothing.
"""

DEVICE_MS = 8
ENDS = {"Enter": (13, "\r"), "Tab": (9, "")}


class KeySender:
    """Sends keys as a device does: `pace` ms from one to the next, and a key that ends it, "" for none."""

    def __init__(self, page) -> None:
        self.cdp, self.now = page.context.new_cdp_session(page), 0.0

    def send(self, text: str, pace: float = DEVICE_MS, *, end: str = "Enter", later_ms: float = 0) -> None:
        """`later_ms`: how long after the keys before, at least."""
        clock = self.cdp.send("Runtime.evaluate", {"expression": "Date.now()"})["result"]["value"]
        self.now = max(self.now + 1 + later_ms / 1000, clock / 1000)
        for sign in text:
            self._key(sign, ord(sign.upper()) if sign.isalnum() else 0, sign)  # 46 is Delete, not a point
            self.now += pace / 1000
        if end:
            self._key(end, *ENDS[end])
            self.now += pace / 1000

    def _key(self, key: str, number: int, text: str) -> None:
        code = {"key": key, "windowsVirtualKeyCode": number}
        down = {"type": "keyDown", "timestamp": self.now, **code} | ({"text": text} if text else {})
        self.cdp.send("Input.dispatchKeyEvent", down)
        self.cdp.send("Input.dispatchKeyEvent", {"type": "keyUp", "timestamp": self.now + 0.002, **code})
