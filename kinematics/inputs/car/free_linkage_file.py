"""A free linkage in the car file: what carries each point, and the joints between the parts."""

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from kinematics.car.suspension_type import (
    CHASSIS,
    BallJoint,
    HeightSupport,
    Hinge,
    Pair,
    Point,
    StrutAxis,
    SuspensionType,
)
from kinematics.car.suspensions.free_linkage import FREE_LINKAGE
from kinematics.inputs.reading.faults import EntryError, Fault, Remedy, did_you_mean, shown
from kinematics.inputs.reading.file_fields import Table

WHEEL_CENTRE = FREE_LINKAGE.points[0]


def _pair(value: object) -> object:
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(one, str) for one in value):
        allowed = Remedy('two names in quotes are allowed, like ["a", "b"]', "two names are allowed")
        raise EntryError(f"read {shown(value)}", allowed)
    return tuple(value)


PairOfNames = Annotated[tuple[str, str], BeforeValidator(_pair)]


class JointTable(Table):
    """One joint: what it is and its points, and for a hinge or a ball joint the two parts."""

    link: PairOfNames | None = None
    hinge: PairOfNames | None = None
    ball: str | None = None
    slide: PairOfNames | None = None
    rest: str | None = None
    parts: PairOfNames | None = None

    @property
    def kinds(self) -> dict[str, tuple[str, ...]]:
        """The kinds of joint that are given, and their points."""
        given = {kind: getattr(self, kind) for kind in ("link", "hinge", "ball", "slide", "rest")}
        return {kind: (at,) if isinstance(at, str) else at for kind, at in given.items() if at is not None}


class LinkageTable(Table):
    """What a free linkage says of itself besides its points."""

    joint: Annotated[tuple[JointTable, ...], Field(description="sections [[front.linkage.joint]]", min_length=1)]
    whole_axle: bool = False
    steering_axis: PairOfNames | None = None
    toe_link: PairOfNames | None = None
    rack: tuple[str, ...] = ()
    bushed: tuple[PairOfNames, PairOfNames] | None = None


def free_linkage_from(
    table: LinkageTable, points: Mapping[str, Mapping[str, Any]], axle: str
) -> tuple[SuspensionType, list[Fault]]:
    """Make a suspension type of an axle's linkage and its points as written, with all that does not fit."""
    place = f"{axle}.linkage"
    listed = tuple(
        Point(key, str(point.get("on", CHASSIS)), "as listed", (0.0, 0.0, 0.0), single=point.get("single") is True)
        for key, point in points.items()
    )
    carriers = {point.key: point.carrier for point in listed}
    if carriers.get(WHEEL_CENTRE.key, CHASSIS) == CHASSIS:
        text = 'must be there and say what part carries the wheel, like on = "upright"'
        return FREE_LINKAGE, [Fault(f"{axle}.points.{WHEEL_CENTRE.key}", text)]
    faults = _joint_faults(table.joint, carriers, place)
    roles = [("steering_axis", table.steering_axis), ("toe_link", table.toe_link), ("rack", table.rack)]
    roles += [("bushed", link) for link in table.bushed or ()]
    faults += [
        Fault(f"{place}.{role}", f"read {shown(key)}, which is no point here{did_you_mean(key, carriers)}")
        for role, keys in roles
        for key in keys or ()
        if key not in carriers
    ]
    if faults:
        return FREE_LINKAGE, faults
    kind = _made(table, listed)
    for role, links in (("toe_link", (table.toe_link,)), ("bushed", table.bushed or ())):
        for link in links:
            if link is not None and link not in kind.links and link[::-1] not in kind.links:
                text = f"read {shown(list(link))}; it must be one of the links listed as joints"
                faults.append(Fault(f"{place}.{role}", text))
    return kind, faults + _row_faults(kind, place)


def _joint_faults(joints: Sequence[JointTable], carriers: Mapping[str, str], place: str) -> list[Fault]:
    bodies = set(carriers.values()) | {CHASSIS}
    bodies |= {part for joint in joints for part in joint.parts or ()}
    faults = []
    slides = 0
    for number, joint in enumerate(joints, start=1):
        key = f"{place}.joint {number}"
        if len(joint.kinds) != 1:
            faults.append(Fault(key, "give one of: link, hinge, ball, slide, rest"))
            continue
        ((kind, keys),) = joint.kinds.items()
        unknown = [one for one in keys if one not in carriers]
        faults += [
            Fault(f"{key}.{kind}", f"{shown(one)} is no point here{did_you_mean(one, carriers)}") for one in unknown
        ]
        if unknown:
            continue
        slides += kind == "slide"
        if kind in ("hinge", "ball"):
            if joint.parts is None or joint.parts[0] == joint.parts[1]:
                faults.append(Fault(f"{key}.parts", 'name the two parts that it joins, like ["lower arm", "chassis"]'))
            elif not {carriers[one] for one in keys} <= set(joint.parts):
                carried = ", ".join(f"{one} is on the {carriers[one]}" for one in keys)
                faults.append(Fault(f"{key}.{kind}", f"its points must lie on one of its two parts; {carried}"))
        elif joint.parts is not None:
            faults.append(Fault(f"{key}.parts", f"a {kind} takes none: its points say what carries them"))
        elif kind != "rest" and carriers[keys[0]] == carriers[keys[1]]:
            faults.append(Fault(f"{key}.{kind}", f"both points are on the {carriers[keys[0]]}; it would join nothing"))
    if slides > 1:
        faults.append(Fault(f"{place}.joint", f"read {slides} slides; one is allowed"))
    return faults


def _made(table: LinkageTable, points: tuple[Point, ...]) -> SuspensionType:
    carriers = {point.key: point.carrier for point in points}

    def moving_first(pair: Pair) -> Pair:
        return (pair[1], pair[0]) if carriers[pair[0]] == CHASSIS else pair

    links = tuple(moving_first(joint.link) for joint in table.joint if joint.link is not None)
    toe_link = None if table.toe_link is None else moving_first(table.toe_link)
    upper, lower = (None, None) if table.bushed is None else map(moving_first, table.bushed)
    slide = next((joint.slide for joint in table.joint if joint.slide is not None), None)
    jointed = [(joint, _moving_part_first(joint.parts)) for joint in table.joint if joint.parts is not None]
    return SuspensionType(
        name=FREE_LINKAGE.name,
        title=FREE_LINKAGE.title,
        points=points,
        links=links,
        strut=None if slide is None else StrutAxis(*slide),
        hinges=tuple(Hinge(*parts, *joint.hinge) for joint, parts in jointed if joint.hinge is not None),
        balls=tuple(BallJoint(*parts, joint.ball) for joint, parts in jointed if joint.ball is not None),
        height_supports=tuple(HeightSupport(joint.rest) for joint in table.joint if joint.rest is not None),
        bushed=None if upper is None or lower is None else (upper, lower),
        whole_axle=table.whole_axle,
        steering_axis=table.steering_axis,
        toe_link=toe_link if toe_link in links else None,
        rack=table.rack,
        listed=True,
    )


def _moving_part_first(parts: Pair) -> Pair:
    return (parts[1], parts[0]) if parts[0] == CHASSIS else parts


def _row_faults(kind: SuspensionType, place: str) -> list[Fault]:
    """Too many joints, or too few, for the parts to be left with wheel travel alone."""
    freedoms = 2 if kind.whole_axle else 1
    needed, taken = 6 * len(kind.bodies) - freedoms, kind.freedoms_taken
    if taken == needed:
        return []
    parts = ", ".join(kind.bodies)
    left = "both wheels' travel" if kind.whole_axle else "wheel travel"
    text = (
        f"the joints take {taken} freedoms; {len(kind.bodies)} parts ({parts}) have {6 * len(kind.bodies)}, and to "
        f"leave {left} alone, {needed} must be taken (a link takes 1, a rest 1, a slide 2, a ball joint 3, a hinge 5)"
    )
    return [Fault(f"{place}.joint", text)]
