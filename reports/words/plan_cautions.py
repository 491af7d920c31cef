"""Cautions that fit a plan: what each kind of change strains, fouls or leaves loose.

All of them are common practice, no source; none of them takes the place of class rules, law or a mechanic.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kinematics.planning.changes import LOAD_CHANGES, Change
from kinematics.planning.plans import Plan
from reports.words.wrapped import wrapped


@dataclass(frozen=True)
class PlanCaution:
    """What to look at: in a few words for the first screen, and said in full."""

    short: str
    full: str


_LOWER = PlanCaution(
    "tyre to arch, springs at full droop",
    "A lower car has less travel to its bump stops and less room between tyre and arch. See that no spring comes "
    "loose at full droop, that nothing touches at full bump and full lock, and that headlamps and ground "
    "clearance are legal.",
)
_HIGHER = PlanCaution(
    "brake hoses and driveshafts at full droop",
    "A higher car hangs lower on its droop stops: see that brake hoses are slack and driveshafts still plunge there.",
)
_JOINT = PlanCaution(
    "pin, taper, rim clear",
    "A longer ball joint bends its pin and its taper harder in proportion to its length. Fit only a part made for "
    "it, with its taper fully seated, and see that rim, brake disc and arm stay clear at full lock and over the "
    "travel.",
)
_PIVOTS = PlanCaution(
    "strength of the mounts, arm clear",
    "Moved pivots take the whole force of cornering and braking into new metal: mounts and welds are work for "
    "somebody qualified. See that the arm stays clear of the body over the whole travel.",
)
_TIE_ROD = PlanCaution(
    "thread; safety washer on a rod end",
    "A spacer under a tie-rod end bends its pin. Keep the thread fully engaged and locked; a rod end bolted from "
    "one side only is in single shear, and needs a washer that holds it if the joint comes apart.",
)
_RACK = PlanCaution(
    "column joints, full lock both ways",
    "A moved rack turns the steering column's joints further: see that the column neither binds nor touches "
    "anything at either lock, over the whole travel, and that the rack's mounts are as strong as before.",
)
_STRUT_TOP = PlanCaution(
    "top nut and bearing, spring clear of the tower",
    "A moved strut top turns its bearing out of its angle: see that spring and strut stay clear of the tower at "
    "full lock and full droop, and that top nut and plate are locked.",
)
_LINK = PlanCaution(
    "full thread in both ends, locknuts tight",
    "An adjustable link needs its threads fully engaged at both ends and its locknuts tight; a cut and welded one "
    "is work for somebody qualified.",
)
_SPRING = PlanCaution(
    "seated at full droop, not solid at full bump",
    "Other springs must stay seated at full droop, must not go solid before the bump stop, and ask for dampers "
    "that suit their rate.",
)
_PACKING = PlanCaution(
    "located, not solid before the bump stop",
    "Packing takes its whole thickness from the way that the coils have until they are solid; it must be located "
    "so that it cannot come out at full droop.",
)
_CUT = PlanCaution(
    "no flame, cut end in its seat",
    "Never cut a coil with a flame, and never at an end that is ground, tapered or tempered for its seat. The cut end "
    "must lie in a seat made for it, the spring must stay seated at full droop, and bump stops must end the travel "
    "before the coils touch. Class rules and local law may forbid it; a spring made for that height is better.",
)
_BAR = PlanCaution(
    "drop links clear, off dead centre",
    "A bar's drop links must stay clear of wheel and arm and must not pass their dead centre within the travel. A "
    "stiffer bar moves load to the outer wheel of its own axle.",
)
_BALLAST = PlanCaution(
    "bolted to the structure",
    "Ballast comes loose in an accident unless it is bolted through the structure: class rules say how and where.",
)
_TYRE = PlanCaution(
    "arch and strut at full lock, speedometer",
    "Tyres of another size must stay clear of arch, strut and hoses at full lock and full bump; they change "
    "gearing, brake leverage and what the speedometer reads, and the law may limit them.",
)
_SPACER = PlanCaution(
    "studs long enough, hub centred, arch",
    "A wheel spacer needs longer studs with full engagement of the nuts, a spigot that centres the wheel, and a "
    "look at the arch; it loads bearings and studs harder. Many classes and some laws forbid it.",
)
_POINT = PlanCaution(
    "strength of the changed part",
    "A moved point is a changed part: whether it is strong enough is for somebody qualified to say.",
)
_STEERED = PlanCaution(
    "toe, and bump steer with a gauge",
    "After any change of geometry set toe and camber again, and measure bump steer with a gauge before the car is "
    "driven.",
)
_OF_KIND = {
    "longer ball joint": _JOINT,
    "inner pivots": _PIVOTS,
    "tie-rod shim": _TIE_ROD,
    "tie-rod inner": _RACK,
    "rack raised": _RACK,
    "strut top": _STRUT_TOP,
    "link length": _LINK,
    "spring rate": _SPRING,
    "spring length": _SPRING,
    "spring spacer": _PACKING,
    "cut coils": _CUT,
    "bar rate": _BAR,
    "ballast": _BALLAST,
    "tyre radius": _TYRE,
    "wheel spacer": _SPACER,
    "point": _POINT,
}


def caution_of(change: Change) -> PlanCaution:
    """The caution that belongs to a change."""
    if change.what == "ride height":
        return _LOWER if change.by < 0.0 else _HIGHER
    return _OF_KIND[change.what]


def before_it_is_driven(plan: Plan) -> list[str]:
    """In few words, what a plan asks to be looked at, each caution once; no lines where nothing is changed."""
    named = short_cautions(plan)
    return wrapped(f"Before it is driven, check {', '.join(named)}.") if named else []


def short_cautions(plan: Plan) -> list[str]:
    """Each caution of a plan once, in few words."""
    return [f"{kind} ({short})" if kind else short for kind, short in checks_of(plan)]


def checks_of(plan: Plan) -> list[tuple[str, str]]:
    """Each caution of a plan once: what is changed, empty for any change of geometry, and what to look at."""
    said: dict[str, str] = {}
    for kind, one in _cautions(plan):
        said.setdefault(one.short, kind)
    return [(kind, short) for short, kind in said.items()]


def full_cautions(plan: Plan) -> list[str]:
    """The same in full, a sentence or two for each kind of change."""
    return list(dict.fromkeys(one.full for _, one in _cautions(plan)))


def _cautions(plan: Plan) -> Iterator[tuple[str, PlanCaution]]:
    """Each change's caution with the words for its kind, then what every change of geometry asks for."""
    changed = (one for one in plan.changes if one.by or one.what != "ride height")
    yield from ((change.what, caution_of(change)) for change in changed)
    if _moves_geometry(plan.changes):
        yield "", _STEERED


def _moves_geometry(changes: Sequence[Change]) -> bool:
    return any(one.what not in LOAD_CHANGES and one.size for one in changes)
