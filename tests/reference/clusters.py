"""Chances of ball clusters, every choice gone through one by one, for ClusterTestTests.

Shares no code with the program; needs nothing but Python (a minute for the large ones).

    python3 tests/reference/clusters.py
"""
from itertools import combinations
from math import comb, dist

CASES = [  # rows, columns, measured (all where None), sites that stand out
    (4, 4, [(1, 1), (1, 2)]),
    (4, 4, [(0, 0), (0, 3), (3, 0), (3, 3)]),
    (5, 4, [(0, 0), (0, 2), (1, 1), (2, 2), (3, 0)]),
    (6, 8, [(0, 0), (0, 1), (1, 0)]),
    (8, 8, [(3, 3), (3, 4), (4, 4)]),
    (9, 9, [(0, 0), (0, 1), (1, 1), (2, 0)]),
    (12, 12, [(1, 2), (3, 9), (6, 5), (8, 8)]),
    (8, 8, [(0, 0), (0, 7), (7, 0), (7, 7), (1, 6)]),
]


def main():
    for rows, columns, chosen in CASES:
        field = [(row, column) for row in range(rows) for column in range(columns)]
        index = {site: i for i, site in enumerate(field)}
        apart = [[dist(a, b) for b in field] for a in field]
        corner = [dist((0, 0), (min(r, rows - 1 - r), min(c, columns - 1 - c))) for r, c in field]
        own = sorted(index[site] for site in chosen)

        def together(pick):
            return sum(apart[a][b] for a, b in combinations(pick, 2))

        most = together(own) + 1e-7
        far = sum(corner[i] for i in own) + 1e-7
        close = at_corner = 0
        for pick in combinations(range(len(field)), len(own)):
            close += together(pick) <= most
            at_corner += sum(corner[i] for i in pick) <= far
        print(rows, columns, chosen, comb(len(field), len(own)), close, at_corner)


if __name__ == "__main__":
    main()
