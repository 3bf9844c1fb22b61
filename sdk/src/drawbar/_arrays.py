"""Columns as arrays: numbers, truths, and texts by their places among a few. Needs NumPy.

Whoever hands over a column of pandas, polars or Arrow has that library already; none but NumPy is imported here.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from types import NoneType
from typing import Any, Final, TypeAlias, cast

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[Any]

_LETTER: Final = 4
"""Size of a letter in an array of texts [bytes]."""
_MIXER: Final = np.uint64(0x9E3779B97F4A7C15)
"""An odd number whose bits are spread well."""
_TEXTS: Final = frozenset({"string", "large_string", "string_view"})


@dataclass(frozen=True, slots=True)
class Masked:
    """Numbers or truths, some of which are not there.

    Parameters
    ----------
    values
        The numbers; where there is none, any number.
    there
        Which of them are there.
    """

    values: Array
    there: npt.NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.values)

    def __getitem__(self, some: slice) -> Masked:
        return Masked(self.values[some], self.there[some])

    def tolist(self) -> list[Any]:
        """Give a list, with None where there is none."""
        pairs = zip(self.values.tolist(), self.there.tolist(), strict=True)
        return [value if there else None for value, there in pairs]


@dataclass(frozen=True, slots=True)
class Coded:
    """Texts by their places among a few.

    Parameters
    ----------
    codes
        Place of each; -1 where there is none.
    texts
        The texts.
    """

    codes: npt.NDArray[np.int32]
    texts: list[str]

    def __len__(self) -> int:
        return len(self.codes)

    def __getitem__(self, some: slice) -> Coded:
        return Coded(self.codes[some], self.texts)

    def tolist(self) -> list[Any]:
        """Give a list, with None where there is none."""
        texts = [*self.texts, None]
        return [texts[at] for at in self.codes.tolist()]

    def compact(self) -> Coded:
        """Give the same with no texts but those in use, if that makes it smaller than it is."""
        if len(self.texts) <= len(self.codes):
            return self
        used, codes = np.unique(self.codes, return_inverse=True)
        shift = int(len(used) > 0 and used[0] < 0)
        return Coded((codes - shift).astype(np.int32), [self.texts[at] for at in used[shift:].tolist()])


def of_library(column: Any) -> Any:
    """Give a column of NumPy, pandas, polars or Arrow as an array, `Masked` or `Coded`.

    Parameters
    ----------
    column
        The column; any other, and one of a type that is none of these, comes back as it is.
    """
    library = type(column).__module__.partition(".")[0]
    if library == "pandas":
        return _of_pandas(column)
    if library == "polars":
        return _of_polars(column)
    if library == "pyarrow":
        return _of_pyarrow(column)
    if library == "nanoarrow":
        return _of_nanoarrow(column)
    return column


def _of_pandas(column: Any) -> Any:
    # A pandas column is sliced by its labels and has several kinds of nothing.
    array: Array = column.to_numpy()
    if array.dtype.kind in "biuf":
        there = np.asarray(column.notna(), dtype=np.bool_)
        # NaN in an array of NumPy is a number to pandas, too; in its own types it stands for nothing.
        return array if isinstance(column.dtype, np.dtype) or there.all() else Masked(np.nan_to_num(array), there)
    codes, texts = column.factorize()
    listed = [*texts]
    if all(isinstance(text, str) for text in listed):
        return Coded(codes.astype(np.int32), listed)
    return column.astype(object).where(column.notna(), None).to_numpy()


def _of_polars(column: Any) -> Any:
    kind = column.dtype
    name = str(kind).partition("(")[0]
    if kind.is_float() or kind.is_integer() or name == "Boolean":
        if not column.null_count():
            return column.to_numpy()
        there = column.is_not_null().to_numpy()
        return Masked(column.fill_null(strategy="zero").to_numpy(), there)
    if name in ("String", "Categorical", "Enum"):
        coded = column.cast(importlib.import_module("polars").Categorical) if name == "String" else column
        kept = coded.drop_nulls().unique()
        places = kept.to_physical().to_numpy()
        # Places in the table of all texts that the library has met, which may be large, to places among these.
        new = np.full(int(places.max(initial=0)) + 1, -1, dtype=np.int32)
        new[places] = np.arange(len(places), dtype=np.int32)
        codes = new[coded.to_physical().fill_null(0).to_numpy()]
        codes[coded.is_null().to_numpy()] = -1
        return Coded(codes, [str(text) for text in kept.to_list()])
    return column


def _of_pyarrow(column: Any) -> Any:
    name = str(column.type)
    if name.startswith("dictionary"):
        if str(column.type.value_type) not in _TEXTS:
            return _of_pyarrow(column.cast(column.type.value_type))
    elif name in _TEXTS:
        column = column.dictionary_encode()
    elif name not in ("bool", "halffloat", "float", "double") and not name.startswith(("int", "uint")):
        return column
    else:
        values = cast("Array", column.to_numpy(**_copied(column)))
        if not column.null_count:
            return values
        there = column.is_valid()
        return Masked(_plain(values), there.to_numpy(**_copied(there)))
    whole = column.combine_chunks() if hasattr(column, "combine_chunks") else column
    return Coded(whole.indices.fill_null(-1).to_numpy().astype(np.int32), whole.dictionary.to_pylist())


def _copied(column: Any) -> dict[str, bool]:
    """Allow an array to be copied where need be; a column in chunks is so without being asked."""
    return {} if hasattr(column, "chunks") else {"zero_copy_only": False}


def _of_nanoarrow(column: Any) -> Any:
    kind = column.schema.type.name
    if kind not in ("BOOL", "HALF_FLOAT", "FLOAT", "DOUBLE") and not kind.startswith(("INT", "UINT")):
        return column.to_pylist()
    separate = importlib.import_module("nanoarrow").nulls_separate()
    there, values = column.to_pysequence(handle_nulls=separate)
    array = np.asarray(values)
    if kind == "BOOL":
        array = array.astype(np.bool_)
    return array if there is None else Masked(array, np.asarray(there).astype(np.bool_))


def _plain(values: Array) -> Array:
    """Give truths that a library hands over as objects, with None where there is none, as truths."""
    return values.astype(np.bool_) if values.dtype == object else values


def by_row(column: Any, after: int, before: int) -> Array:
    """Give each value so often in turn, and all of them so often over.

    Parameters
    ----------
    column
        What `of_library` gives.
    after
        Rows that follow each other and have the same value.
    before
        How often they all come.
    """
    if isinstance(column, Masked) and column.values.dtype.kind in "iuf":
        array = np.where(column.there, column.values, np.nan)
    elif isinstance(column, np.ndarray):
        array = cast("Array", column)
    else:
        listed = cast("list[Any]", column.tolist() if hasattr(column, "tolist") else list(cast("Any", column)))
        array = np.empty(len(listed), dtype=object)
        array[:] = listed
    return array if (after, before) == (1, 1) else np.tile(np.repeat(array, after), before)


def encodable(column: Any) -> Array | Masked | Coded | None:
    """Give a column in a form that goes into a record batch: numbers, truths or texts.

    Parameters
    ----------
    column
        A list or what `of_library` gives.

    Returns
    -------
    ndarray, Masked, Coded or None
        None if its values are of another kind, or of several.
    """
    if isinstance(column, Masked | Coded):
        return column
    if isinstance(column, np.ndarray):
        array = cast("Array", column)
        if array.ndim != 1:
            return None
        if array.dtype.kind in "biuf" and array.dtype.itemsize <= 8:
            return array
        if array.dtype.kind == "U":
            return _of_texts(array)
        return _of_list(array.tolist()) if array.dtype.kind == "O" else None
    if isinstance(column, list | tuple | range):
        return _of_list(list(cast("list[Any]", column)))
    return None


def _of_texts(array: Array) -> Coded:
    """Find the places of texts without making one of Python for each: by a number mixed from their letters."""
    width = array.dtype.itemsize // _LETTER
    native = np.ascontiguousarray(array, dtype=array.dtype.newbyteorder("="))
    keys = np.zeros(len(native), dtype=np.uint64)
    letters = native.view(np.uint32).reshape(len(native), width)
    for at in range(width):
        keys = keys * _MIXER + letters[:, at]
    known = np.unique(keys)
    codes = np.searchsorted(known, keys)
    first = np.empty(len(known), dtype=np.intp)
    first[codes[::-1]] = np.arange(len(codes))[::-1]
    if not np.array_equal(native[first][codes], native):
        # Two texts have one number, which chance hardly ever brings.
        texts, codes = np.unique(native, return_inverse=True)
        return Coded(codes.astype(np.int32), texts.tolist())
    # In the order in which they come.
    order = np.argsort(first)
    place = np.empty(len(order), dtype=np.int32)
    place[order] = np.arange(len(order), dtype=np.int32)
    return Coded(place[codes], native[first[order]].tolist())


def _of_list(values: list[Any]) -> Array | Masked | Coded | None:
    kinds = set(map(type, values))
    missing = NoneType in kinds
    kinds.discard(NoneType)
    if kinds == {str}:
        texts = dict.fromkeys(values)
        texts.pop(None, None)
        places = {text: at for at, text in enumerate(texts)}
        if missing:
            places[None] = -1
        return Coded(np.fromiter(map(places.__getitem__, values), np.int32, len(values)), list(texts))
    if kinds == {bool}:
        dtype = np.bool_
    elif kinds and kinds <= {int, float}:
        dtype = np.float64
        # A float holds no other whole number exactly.
        if any(abs(value) > 2**53 for value in values if type(value) is int):
            return None
    else:
        return None
    if not missing:
        return np.array(values, dtype=dtype)
    there = np.fromiter((value is not None for value in values), np.bool_, len(values))
    return Masked(np.array([0 if value is None else value for value in values], dtype=dtype), there)
