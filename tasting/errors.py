"""Every error that we raise on purpose.

    TastingError
    ├── InputError       what was given cannot be used; says what, where, and how to mend it
    │   └── NotFoundError  nothing is kept under that id, name or token
    ├── LifeCycleError   the session's state forbids it: answers to a closed session, say
    │   └── SealedError    asked for what stays sealed until the session is closed
    └── StoreError       the database cannot be opened, read or written
        └── DamagedError   something that was kept is not as the program wrote it

A message is one sentence that can be shown to the person as it is.
"""


class TastingError(Exception):
    """Base of all errors below; its text is fit to be shown to the person."""


class InputError(TastingError, ValueError):
    """What was given cannot be used."""


class NotFoundError(InputError):
    """Nothing is kept under that id, name or token."""


class LifeCycleError(TastingError):
    """The state of the session forbids it."""


class SealedError(LifeCycleError):
    """It stays sealed until the session is closed."""


class StoreError(TastingError):
    """The database cannot be opened, read or written."""


class DamagedError(StoreError):
    """Something that was kept is not as the program wrote it; the rest of the log can be used."""
