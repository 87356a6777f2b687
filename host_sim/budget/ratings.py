"""What the parts bear: the optional section `rated` of an aircraft file, in gauge pressures as printed on the parts."""

from ..quantities import show_pressure

PARTS = ("tank", "hoses", "valve", "legs", "brakes")


def read_ratings(node, unit):
    """{part: (bar gauge, node)} of a Mapping, or {} of None."""
    if node is None:
        return {}
    rated = {part: node.take(part) for part in PARTS if node.has(part)}
    node.close()
    return {part: (scalar.quantity("bar", 1.0, 300.0, "gauge", unit), scalar) for part, scalar in rated.items()}


def check_fill(fill_node, fill_bar, ratings, unit):
    """InputError at the fill where it is above what a part bears; the weakest part is named."""
    if not ratings:
        return
    part, (bar, scalar) = min(ratings.items(), key=lambda item: item[1][0])
    if fill_bar > bar + 1e-9:
        verb = "are" if part.endswith("s") else "is"
        fill_node.fail(
            f"'{fill_node.text.strip()}' is more than the {part} {verb} rated for; allowed: up to "
            f"{show_pressure(bar, unit)} (line {scalar.line})"
        )


def unrated(ratings, has_brakes):
    """Names of the parts whose rating the file does not give."""
    return [part for part in PARTS if part not in ratings and (has_brakes or part != "brakes")]
