"""What an action says when it can't do what was asked."""


class Refused(ValueError):
    """The sentence is for the person, in their language; `field` names the box it belongs to."""

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class OutOfScope(LookupError):
    """The row is not there for this person; pages answer as if it did not exist."""
