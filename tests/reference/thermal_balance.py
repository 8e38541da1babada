"""Where a chip on its cooler settles, by Lambert's W function with 40 digits, for ThermalBalanceTests.

T = Ta + θ·(Ps + Pl·2^((T − Tl)/D)). With a = ln 2/D and T0 = Ta + θ·Ps it is T = T0 − W(−θ·a·Pl·exp(a·(T0 − Tl)))/a on the
principal branch; the last ambient is where the argument is −1/e. R. M. Corless and others, "On the Lambert W function",
Adv. Comput. Math. 5 (1996) 329-359. Shares no code with the program; needs nothing but Python.

    python3 tests/reference/thermal_balance.py
"""
from decimal import Decimal, getcontext

getcontext().prec = 40


def lambert(x):
    """Principal branch for −1/e < x <= 0, by Halley's steps."""
    w = Decimal(-1) + (2 * (1 + Decimal(1).exp() * x)).sqrt() if x < Decimal("-0.2") else x
    for _ in range(60):
        e = w.exp()
        f = w * e - x
        w -= f / (e * (w + 1) - (w + 2) * f / (2 * w + 2))
    return w


def main():
    cases = [  # ambient °C, K/W, switching W, leakage W at °C, doubles per K
        (25, "1.968", 28, 6, 85, 25),
        (20, "0.5", 65, 12, 90, 30),
        (40, "0.35", 95, 20, 100, 20),
        (25, "8", 4, "0.5", 60, 12),
        (35, "1.2", 0, 15, 85, 40),
        (25, "0.9", 45, "7.5", 85, 10),
    ]
    for ambient, theta, switching, leakage, at, doubles in cases:
        ta, theta, ps, pl, tl, d = map(Decimal, (ambient, theta, switching, leakage, at, doubles))
        a = Decimal(2).ln() / d
        start = ta + theta * ps
        x = -theta * a * pl * (a * (start - tl)).exp()
        # x = -1/e at the last ambient.
        most = tl - (theta * a * pl).ln() / a - 1 / a - theta * ps
        settles = start - lambert(x) / a if x > -1 / Decimal(1).exp() else None
        print(ambient, theta, switching, leakage, at, doubles, settles and round(settles, 12), round(most, 12))


if __name__ == "__main__":
    main()
