"""`dataclass`, quicker to make. Of a frozen class the standard library's compiles six functions
where it is defined, which for some two hundred classes is a twentieth of a chart's time. Here five
are shared, and `__init__` is compiled where the first of a class is made; all else, with `fields`
and `replace`, is the standard library's."""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, fields
from dataclasses import dataclass as standard
from functools import cache, partial
from operator import attrgetter
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, eq=True, repr=True, **more):
        """As https://docs.python.org/3/library/dataclasses.html#dataclasses.dataclass has it."""
        if cls is None:
            return partial(dataclass, frozen=frozen, eq=eq, repr=repr, **more)
        if not frozen:
            return standard(cls, eq=eq, repr=repr, **more)
        return _frozen(standard(cls, init=False, eq=False, repr=False, **more), eq, repr)


def _frozen(cls: Any, eq: bool, repr: bool) -> Any:
    own = vars(cls)
    methods: dict[str, Any] = {"__init__": _init_at_first_use(cls)}
    if repr:
        methods["__repr__"] = _repr
    if eq:
        methods["__eq__"] = _eq
        if own.get("__hash__") is None:  # as Python sets it beside an __eq__ of the class's own
            cls.__hash__ = _hash
    for name, method in methods.items():
        if name not in own:
            setattr(cls, name, method)
    cls.__setattr__, cls.__delattr__ = _keeps, _keeps
    return cls


def _init_at_first_use(cls: Any) -> Callable[..., None]:
    def __init__(self: Any, /, *values: Any, **named: Any) -> None:
        cls.__init__ = _compiled(cls)
        cls.__init__(self, *values, **named)

    return __init__


def _compiled(cls: Any) -> Any:
    """`__init__` of a class's fields, in their order, those with names alone last."""
    takes, sets = ["self"], []
    known: dict[str, Any] = {"__set": object.__setattr__, "__none": MISSING}
    for field in sorted(fields(cls), key=lambda field: bool(field.kw_only)):
        name, value = field.name, field.name
        if field.kw_only and "*" not in takes:
            takes.append("*")
        if field.default is not MISSING:
            known[f"__{name}"] = field.default
            name = f"{name}=__{name}"
        elif field.default_factory is not MISSING:
            known[f"__{name}"] = field.default_factory
            value = f"__{name}() if {name} is __none else {name}"
            name = f"{name}=__none"
        takes.append(name)
        sets.append(f" __set(self, {field.name!r}, {value})")
    if hasattr(cls, "__post_init__"):
        sets.append(" self.__post_init__()")
    exec("\n".join([f"def __init__({', '.join(takes)}):", *(sets or [" pass"])]), known)
    made = known["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made


def _repr(self: Any) -> str:
    told = (f"{field.name}={getattr(self, field.name)!r}" for field in fields(self) if field.repr)
    return f"{type(self).__qualname__}({', '.join(told)})"


def _eq(self: Any, other: object) -> Any:
    if type(self) is not type(other):
        return NotImplemented
    of: Any = type(self)
    return _compared(of)(self) == _compared(of)(other)


def _hash(self: Any) -> int:
    of: Any = type(self)
    return hash(_compared(of)(self))


@cache
def _compared(cls: Any) -> Callable[[Any], tuple[object, ...]]:
    """What a noun of a class is compared by."""
    names = [field.name for field in fields(cls) if field.compare]
    if len(names) > 1:
        return attrgetter(*names)  # of one name it gives no tuple
    return lambda noun: tuple(getattr(noun, name) for name in names)


def _keeps(_: Any, name: str, *value: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot {'assign to' if value else 'delete'} field {name!r}")
