"""The refusals of Headlap.

HeadlapError
├── Refused      a rule of the work says no (shown beside the form, HTTP 409)
├── NotAllowed   the right company but not this person's right (HTTP 403)
├── NotFound     nothing here for whoever asks (HTTP 404)
└── BadInput     something typed or sent cannot be used (HTTP 400, or beside the field)
"""

from training.domain.messages import Message


class HeadlapError(Exception):
    """Carries a `Message`, never a sentence: `Refused("quiz.wait", until=date)`."""

    def __init__(self, message: Message | str, **values: object) -> None:
        self.message = message if isinstance(message, Message) else Message(message, values)
        super().__init__(self.message.key)

    def __str__(self) -> str:
        values = ", ".join(f"{name}={value}" for name, value in self.message.values.items())
        return f"{self.message.key}({values})"


class Refused(HeadlapError):
    """A rule of the work says no; the message says what is missing."""


class NotAllowed(HeadlapError):
    """The person belongs here but may not do this."""


class NotFound(HeadlapError):
    """No such thing for whoever asks; never tells whether it exists for others."""


class BadInput(HeadlapError):
    """Something typed cannot be used; `field` names the form field where known."""

    def __init__(self, message: Message | str, *, field: str | None = None, **values: object) -> None:
        super().__init__(message, **values)
        self.field = field
