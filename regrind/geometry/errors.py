"""The one way this module says no: the name of a field, what is wrong with it, the range allowed."""


class Refused(ValueError):  # noqa: N818 (it is an answer of the module, read as "refused: field")
    """Impossible or missing input. `field` names it, `message` says what is wrong and what is allowed."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message
