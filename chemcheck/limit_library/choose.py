"""The set that judges a sample unless the user names another."""

from chemcheck.errors import UnknownTechnologyError, not_one_of
from chemcheck.limit_library.load import load_set
from chemcheck.limit_library.records import LimitSet
from chemcheck.limit_library.technologies import technologies

FILL_WATER = "fill_water_default"
# What holds of every coolant in service, whatever protects it.
ANY_COOLANT = "coolant_in_service"


def choose(
    material: str, technology: str | None = None, glycol: str | None = None
) -> LimitSet | None:
    """Return the default set of a sample.

    Parameters
    ----------
    material : {"water", "coolant"}
        What was sampled.
    technology : str or None
        A key of `technologies`; None where nobody stated it. Such a coolant is judged by
        what holds for all technologies, which cannot find it fit.
    glycol : str or None
        ``ethylene_glycol``, ``propylene_glycol``, or None where unknown.

    Returns
    -------
    LimitSet or None
        None where no default set applies to the material, technology or glycol: such a
        sample is judged only by a set that the user names.

    Raises
    ------
    UnknownTechnologyError
        If a technology is stated that is not known; with the nearest one.

    Examples
    --------
    >>> choose("water").id
    'fill_water_default'
    >>> choose("coolant", "hybrid").id
    'hybrid_in_service'
    >>> choose("coolant", "waterless") is None
    True
    >>> choose("coolant", "organic acids")
    Traceback (most recent call last):
        ...
    chemcheck.errors.UnknownTechnologyError: 'organic acids' is no technology known here;
    nearest: organic_acid
    """
    if material == "water":
        return load_set(FILL_WATER)
    if material != "coolant":
        return None
    if technology is None:
        chosen = load_set(ANY_COOLANT)
    elif technology in technologies():
        name = technologies()[technology].limit_set
        if name is None:
            return None
        chosen = load_set(name)
    else:
        problem = not_one_of(technology, technologies(), "technology")
        raise UnknownTechnologyError(problem)
    if glycol is not None and chosen.glycols and glycol not in chosen.glycols:
        return None
    return chosen
