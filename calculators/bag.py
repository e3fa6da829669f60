"""What is in the bag: its final volume, with the drug's own volume counted or not, and its concentration."""

import re
from fractions import Fraction

from calculators.errors import CalculationError
from calculators.given import MODES_OF_ADDING
from calculators.reading import Quantity
from calculators.rounding import Policy
from calculators.units import ATOMS, Atom, Unit, factor, named, unit
from calculators.working import Chain, Run
from calculators.writing import with_unit

ML = named("mL")
_ML = ATOMS["mL"]
_PER_NUMBER = re.compile(r" ?/ ?(?=[0-9])| per (?=[0-9])")


def in_ml(quantity: Quantity) -> Fraction:
    """A volume in mL."""
    return quantity.number * factor(quantity.unit, ML)


def has_volume(run: Run) -> bool:
    """Whether the bag's volume is given, whole or as diluent."""
    return "volume" in run.given or "diluent_volume" in run.given


def final_volume(run: Run) -> Fraction:
    """The bag's volume in mL: `volume` itself, or diluent and additive put together the way the label says."""
    stated = run.given.quantity("volume")
    if "diluent_volume" not in run.given:
        if stated is None:
            raise run.given.missing("volume", "the bag's volume is needed")
        return _plain(run, stated)
    made_up = _made_up(run)
    if stated is not None and not run.slips and in_ml(stated) != made_up:
        raise CalculationError(
            "conflict",
            "volume",
            f"read {stated.text}, but diluent_volume and additive_volume make {with_unit(made_up, 'mL')};"
            " leave one of the two out",
        )
    return made_up


def _plain(run: Run, stated: Quantity) -> Fraction:
    if stated.unit is not ML:
        chain = Chain.of(run, stated)
        chain.turn(ML)
        return chain.number
    return stated.number


def _made_up(run: Run) -> Fraction:
    diluent = _plain(run, run.given.need("diluent_volume", "the diluent's volume is needed"))
    mode = run.given.choice("additive_mode", MODES_OF_ADDING)
    additive = run.given.quantity("additive_volume")
    own = in_ml(additive) if additive else None
    if mode is None:
        if own:
            raise run.given.missing(
                "additive_mode", f"say how the drug's own volume counts: {', '.join(MODES_OF_ADDING)}"
            )
        return diluent
    if own is None and mode in ("added", "withdrawn_first"):
        raise run.given.missing("additive_volume", f"additive_mode {mode} needs the drug's own volume")
    if mode == "powder" and own:
        raise CalculationError(
            "conflict", "additive_volume", "a powder has no volume to add; leave it out or say additive_mode added"
        )
    if mode == "withdrawn_first" and own is not None and own > diluent:
        raise CalculationError(
            "out_of_range",
            "additive_volume",
            f"more than the bag holds; accepted is at most {with_unit(diluent, 'mL')}",
        )
    return _counted(run, diluent, own or Fraction(0), mode)


def _counted(run: Run, diluent: Fraction, own: Fraction, mode: str) -> Fraction:
    both = diluent + own
    sum_text = f"{with_unit(diluent, 'mL')} + {with_unit(own, 'mL')}"
    if mode == "added":
        if own and run.may("additive_ignored"):
            run.line(
                f"{with_unit(diluent, 'mL')}, drug's own {with_unit(own, 'mL')} left out", with_unit(diluent, "mL")
            )
            return diluent
        run.line(sum_text, with_unit(both, "mL"))
        return both
    if own and run.may("additive_counted"):
        run.line(sum_text, with_unit(both, "mL"))
        return both
    if own and mode == "withdrawn_first":
        run.line(
            f"{with_unit(diluent, 'mL')} − {with_unit(own, 'mL')} + {with_unit(own, 'mL')}", with_unit(diluent, "mL")
        )
    elif own:
        run.line(f"{with_unit(diluent, 'mL')}, the label counts the nominal volume", with_unit(diluent, "mL"))
    return diluent


def has_concentration(run: Run) -> bool:
    """Whether the inputs say how much drug is in a mL."""
    return "concentration" in run.given or ("drug_amount" in run.given and has_volume(run))


def concentration(run: Run, per: Atom | None = None) -> Chain:
    """Drug per mL as a chain, in the unit it was written in or in `per` (the atom of the dose)."""
    stated = run.given.quantity("concentration")
    if stated is not None:
        chain = _stated(run, stated)
        if "drug_amount" in run.given and has_volume(run) and not run.slips:
            _agrees(run, stated)
    elif "drug_amount" in run.given:
        chain = _mixed(run)
    else:
        raise run.given.missing("concentration", "needed, or drug_amount with volume or diluent_volume")
    if per is not None and per.kind != chain.unit.top.kind:
        raise CalculationError(
            "wrong_dimension",
            "dose" if "dose" in run.given else "to",
            f"counts {per.shown}, the bag counts {chain.unit.top.shown}; one does not convert to the other",
        )
    chain.turn(unit(per or chain.unit.top, (_ML,)))
    if run.may("concentration_rounded_first"):
        _round_first(run, chain)
    return chain


def _stated(run: Run, stated: Quantity) -> Chain:
    parts = _PER_NUMBER.split(stated.text)
    if len(parts) == 2:
        return _divided(run, stated.number, stated.unit, parts[0], parts[1])
    chain = Chain.of(run, stated)
    if run.may("concentration_inverted"):
        chain.restate("read upside down", 1 / stated.number)
    return chain


def _divided(run: Run, number: Fraction, per_ml: Unit, amount: str, volume: str) -> Chain:
    if run.may("concentration_inverted"):
        number, amount, volume = 1 / number, volume, amount
    chain = Chain(run, number, per_ml, follows=True)
    run.line(f"{amount} ÷ {volume}", chain.text)
    return chain


def _mixed(run: Run) -> Chain:
    amount = run.given.need("drug_amount", "the drug in the bag")
    volume = final_volume(run)
    per_ml = unit(amount.unit.top, (_ML,))
    return _divided(run, amount.number / volume, per_ml, amount.plain, with_unit(volume, "mL"))


def _agrees(run: Run, stated: Quantity) -> None:
    quiet = Run(run.given)
    mixed = _mixed(quiet)
    if mixed.unit.kinds != stated.unit.kinds or mixed.number * factor(mixed.unit, stated.unit) != stated.number:
        raise CalculationError(
            "conflict",
            "concentration",
            f"read {stated.text}, but drug_amount and volume make {with_unit(mixed.number, mixed.unit.text)};"
            " leave one of the two out",
        )


def _round_first(run: Run, chain: Chain) -> None:
    rounded = Policy(_grain(chain.number)).apply(chain.number)
    if rounded != chain.number:
        chain.restate("rounded on the way", rounded)


def _grain(number: Fraction) -> Fraction:
    """A whole number from 10 on, a tenth from 1 on, a hundredth below: where courses stop writing digits."""
    if number >= 10:
        return Fraction(1)
    return Fraction(1, 10) if number >= 1 else Fraction(1, 100)
