"""Any suspension type written out as a free linkage, part by part and joint by joint."""

from kinematics.car.suspension_type import SuspensionType


def as_free_linkage(kind: SuspensionType, axle: str = "rear") -> str:
    """A car file with one axle: the typical points of a type, and its joints as a person would list them."""
    lines = ['name = "written out (invented)"', 'units = "mm"', f"[{axle}]", 'suspension = "free linkage"']
    lines += [
        "wheel = { camber = -1.0, toe_in = 0.1 }" if not kind.whole_axle else "wheel = { camber = 0, toe_in = 0 }"
    ]
    alike, left, right = [f"[{axle}.points]"], [f"[{axle}.left.points]"], [f"[{axle}.right.points]"]
    for point in kind.points:
        sides = [(left, point.typical), (right, point.other_side)] if point.other_side else [(alike, point.typical)]
        for table, (ahead, out, up) in sides:
            more = ", single = true" if point.single else ""
            place = f'ahead = {ahead}, out = {out}, up = {up}, on = "{point.carrier}"'
            table.append(f"{point.key} = {{ {place}{more} }}")
    lines += [*alike, *left, *right, f"[{axle}.linkage]", f"whole_axle = {str(kind.whole_axle).lower()}"]
    for role in ("steering_axis", "toe_link", "bushed"):
        value = getattr(kind, role)
        if value is not None:
            lines.append(f"{role} = {_listed(value)}")
    joints = [f"link = {_listed(link)}" for link in kind.all_links]
    if kind.strut is not None:
        joints.append(f"slide = {_listed((kind.strut.low, kind.strut.top_mount))}")
    joints += [
        f"hinge = {_listed((hinge.first, hinge.second))}\nparts = {_listed((hinge.part, hinge.on))}"
        for hinge in kind.hinges
    ]
    joints += [f'ball = "{ball.at}"\nparts = {_listed((ball.part, ball.on))}' for ball in kind.balls]
    joints += [f'rest = "{rest.at}"' for rest in kind.height_supports]
    lines += [f"[[{axle}.linkage.joint]]\n{joint}" for joint in joints]
    return "\n".join(lines) + "\n"


def _listed(names: tuple[object, ...]) -> str:
    return "[" + ", ".join(_listed(one) if isinstance(one, tuple) else f'"{one}"' for one in names) + "]"
