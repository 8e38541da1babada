"""Reference values for the moisture model, by general-purpose libraries (mpmath, SciPy).

Run by hand with Debian's python3-mpmath and python3-scipy; the printed numbers stand in
tests/Graftbench.Core.Tests/Drying and Physics with this file as their source.
"""
import numpy as np
import mpmath as mp
from scipy.optimize import curve_fit
from scipy.integrate import solve_ivp

mp.mp.dps = 30


def remaining(fo):
    """Crank eq. 4.18 summed to 30 digits."""
    fo = mp.mpf(fo)
    return mp.nsum(lambda n: 8 / ((2 * n + 1) ** 2 * mp.pi**2) * mp.exp(-((2 * n + 1) ** 2) * mp.pi**2 * fo), [0, mp.inf])


print("remaining fraction")
for fo in ["1e-5", "1e-3", "0.01", "0.05", "0.0599", "0.06", "0.1", "0.2", "0.3", "0.5", "1", "2"]:
    print(fo, mp.nstr(remaining(fo), 16))

print("slab through two climates: method of lines, 2000 cells, LSODA, rtol 1e-10")


def lines(thickness_m, one_face, start, stretches, cells=2000):
    dz = thickness_m / cells
    c = np.full(cells, start)
    for d, ceq, seconds in stretches:
        def rhs(_, c):
            out = np.empty_like(c)
            k = d / dz**2
            out[1:-1] = k * (c[:-2] - 2 * c[1:-1] + c[2:])
            out[0] = k * (2 * (ceq - c[0]) - (c[0] - c[1]))
            bottom = 0.0 if one_face else 2 * (ceq - c[-1])
            out[-1] = k * (bottom - (c[-1] - c[-2]))
            return out

        s = solve_ivp(rhs, (0, seconds), c, method="LSODA", rtol=1e-10, atol=1e-12, lband=1, uband=1)
        c = s.y[:, -1]
    z = (np.arange(cells) + 0.5) * dz
    return c.mean(), np.interp([0.25 * thickness_m, 0.5 * thickness_m], z, c)


stretches = [(1e-12, 1.0, 20 * 3600.0), (5e-13, 0.1, 10 * 3600.0)]
for one in (False, True):
    mean, at = lines(1e-3, one, 0.2, stretches)
    print("one face" if one else "two faces", f"{mean:.7f} {at[0]:.7f} {at[1]:.7f}")

print("exponential fits: SciPy curve_fit, absolute_sigma False")
for t, w in [
    ([0, 4, 8, 24, 32, 48], [214.620, 214.512, 214.431, 214.252, 214.205, 214.158]),
    ([0, 6, 12, 24, 30, 36, 48, 54, 60, 72], [100.9, 100.62, 100.43, 100.20, 100.13, 100.09, 100.05, 100.03, 100.025, 100.02]),
]:
    t, w = np.array(t, float), np.array(w, float)
    lost = w[0] - w[-1]
    late = w[0] - w >= lost / 2
    if late.sum() >= 5:
        t, w = t[late] - t[late][0], w[late]
    f = lambda t, e, a, tau: e + a * np.exp(-t / tau)
    p, cov = curve_fit(f, t, w, p0=[w[-1], w[0] - w[-1], t[-1] / 3], xtol=1e-14, ftol=1e-14, gtol=1e-14, maxfev=100000)
    g = np.array([0, np.exp(-t[-1] / p[2]), p[1] * np.exp(-t[-1] / p[2]) * t[-1] / p[2] ** 2])
    print(len(t), *(f"{x:.9g}" for x in p), "errors", *(f"{x:.6g}" for x in np.sqrt(np.diag(cov))), "left", f"{p[1]*np.exp(-t[-1]/p[2]):.6g}", f"{np.sqrt(g @ cov @ g):.6g}")

print("closed-face slab of 1.2 mm: floor-life derating rebuilt from clause 7, days at 30 C / 80 % RH for level 3")


def face(fo):
    n = np.arange(0, 400)
    return 1 - 4 / np.pi * np.sum((-1.0) ** n / (2 * n + 1) * np.exp(-((2 * n + 1) ** 2) * np.pi**2 * fo / 4))


k, h = 8.617333262e-5, 1.2
D = lambda rh, T: (0.121 if rh <= 60 else 1.320) * np.exp(-0.35 / (k * (T + 273.15)))
from scipy.optimize import brentq
c = 60 * face(D(80, 30) * 168 * 3600 / h**2)
t = brentq(lambda s: 80 * face(D(80, 30) * s / h**2) - c, 1, 1e9)
print(t / 86400)
