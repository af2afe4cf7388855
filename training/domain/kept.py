"""Things worked out once for each rule, band or book and kept with it."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

H = TypeVar("H")
P = ParamSpec("P")
T = TypeVar("T")


def kept(function: Callable[Concatenate[H, P], T]) -> Callable[Concatenate[H, P], T]:
    """Keep what a pure function makes of its first argument, for each of its further arguments, given by place.

    It is kept in that object itself: a table beside it would compare whole rules of two revisions with each other
    at every look-up, and would keep books that nobody uses any more.
    """
    name = f"{function.__module__}.{function.__qualname__}"

    @wraps(function)
    def wrapper(holder: H, /, *args: P.args, **kwargs: P.kwargs) -> T:
        memory: dict[Any, T] = holder.__dict__
        key = (name, *args) if args else name
        try:
            return memory[key]
        except KeyError:
            return memory.setdefault(key, function(holder, *args, **kwargs))

    return wrapper
