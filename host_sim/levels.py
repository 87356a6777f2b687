"""Labels that must not lie on one another."""


def spread(values, apart, low, high):
    """Places for labels at `values`: each as near its value as it can be, at least `apart` from the next, low to high.

    The order of the values is kept. Labels too close share their room evenly about their mean.
    """
    order = sorted(range(len(values)), key=lambda i: values[i])
    clusters = []
    for i in order:
        clusters.append([[i], values[i]])
        while len(clusters) > 1 and _bottom(clusters[-1], apart) - _top(clusters[-2], apart) < apart:
            members, centre = clusters.pop()
            before, other = clusters.pop()
            joined = before + members
            clusters.append([joined, (other * len(before) + centre * len(members)) / len(joined)])
        half = (len(clusters[-1][0]) - 1) * apart / 2
        clusters[-1][1] = min(max(clusters[-1][1], low + half), high - half)
    places = [0.0] * len(values)
    for members, centre in clusters:
        for n, i in enumerate(members):
            places[i] = centre + (n - (len(members) - 1) / 2) * apart
    return places


def _bottom(cluster, apart):
    return cluster[1] - (len(cluster[0]) - 1) * apart / 2


def _top(cluster, apart):
    return cluster[1] + (len(cluster[0]) - 1) * apart / 2
