"""Reference outcomes for small arrays, made without any code of this repository.

Energy of one joint: a general surface-energy minimiser (Debian package "evolver"), fully three-dimensional, quadratic elements,
fixed volume, both rims held, weight of the liquid included. Array: the sum of all joints' energies plus weight times height is
minimised over the package's plane by SciPy's SLSQP, parts as inequality constraints; a part's force is its multiplier, got here by
lowering its stop a little and looking at the energy. Run: python3 reference.py > arrays.csv
"""

import math, subprocess, sys, tempfile, os
import numpy as np
from scipy.interpolate import make_interp_spline
from scipy.optimize import minimize

GAMMA, RHO, G = 0.5, 7400.0, 9.80665
WEIGHT = RHO * G * 1e-6  # mN/mm3


def evolver_energy(rl, ru, v, h, folder):
    n = 8
    out = [
        "PARAMETER hh = %.12f" % h,
        "PARAMETER rl = %.12f" % rl,
        "PARAMETER ru = %.12f" % ru,
        "gravity_constant %.12f" % G,
        "boundary 1 parameters 1", "x1: rl*cos(p1)", "x2: rl*sin(p1)", "x3: 0",
        "boundary 2 parameters 1", "x1: ru*cos(p1)", "x2: ru*sin(p1)", "x3: hh",
        "vertices",
    ]
    for k in range(n):
        out.append("%d %.12f boundary 1 fixed" % (k + 1, 2 * math.pi * k / n))
    for k in range(n):
        out.append("%d %.12f boundary 2 fixed" % (n + k + 1, 2 * math.pi * k / n))
    out.append("edges")
    for k in range(n):
        out.append("%d %d %d boundary 1 fixed" % (k + 1, k + 1, (k + 1) % n + 1))
        out.append("%d %d %d boundary 2 fixed" % (n + k + 1, n + k + 1, n + (k + 1) % n + 1))
        out.append("%d %d %d" % (2 * n + k + 1, k + 1, n + k + 1))
    out.append("faces")
    for k in range(n):
        out.append("%d %d %d %d %d tension %.12f" % (k + 1, k + 1, 2 * n + (k + 1) % n + 1, -(n + k + 1), -(2 * n + k + 1), GAMMA))
    out.append("bodies")
    faces = " ".join(str(k + 1) for k in range(n))
    out.append("1 %s volume %.12f volconst %.12f density %.12e" % (faces, v, math.pi * ru * ru * h, RHO * 1e-6))
    out.append("read")
    out.append("r; g 20; u; g 20; r; g 30; u; V; g 30; M 2; g 40; hessian; hessian; r; g 10; hessian; hessian; hessian;")
    out.append('printf "ENERGY %20.15f\\n", total_energy; q; q')
    path = os.path.join(folder, "joint.fe")
    with open(path, "w") as f:
        f.write("\n".join(out) + "\n")
    done = subprocess.run(["evolver", path], capture_output=True, text=True, timeout=120, stdin=subprocess.DEVNULL)
    for line in done.stdout.splitlines():
        if "ENERGY" in line and "%" not in line:
            # The lid's own share of the weight's energy is not among the facets.
            return float(line.split()[1]) + WEIGHT * math.pi * ru * ru * h * h / 2
    raise RuntimeError(done.stdout[-800:] + done.stderr[-300:])


def spline(rl, ru, v, lo, hi, folder, count=9):
    h = np.linspace(lo, hi, count)
    e = np.array([evolver_energy(rl, ru, v, x, folder) for x in h])
    return make_interp_spline(h, e, k=min(7, count - 1))


def main():
    folder = tempfile.mkdtemp()
    ball = lambda d: math.pi * d**3 / 6
    va, vb, vc = ball(0.76), 1.04 * ball(0.76), 0.96 * ball(0.76)
    lo, hi = 0.44, 0.64
    splines = [spline(0.3, 0.3, v, lo, hi, folder) for v in (va, vb, vc)]
    grid9 = [(x * 1.27, y * 1.27) for y in (-1, 0, 1) for x in (-1, 0, 1)]
    cases = {
        # name: places, which volume, warpage at the farthest joint, load mN, centre, parts (x, y, stop)
        "three": ([(-1.27, -1.27), (1.27, -1.27), (0, 1.27)], [0, 1, 2], 0.0, 0.3, (0.1, -0.2), []),
        "four-tilt": ([(-1.27, -1.27), (1.27, -1.27), (-1.27, 1.27), (1.27, 1.27)], [0, 1, 0, 2], 0.02, 0.6, (0.3, 0.15), []),
        "nine": (grid9, [0, 1, 2, 1, 0, 2, 2, 0, 1], 0.03, 1.0, (0.2, 0.1), []),
        "nine-part": (grid9, [0, 1, 2, 1, 0, 2, 2, 0, 1], 0.03, 1.0, (0.2, 0.1), [(0.3, 0.2, 0.55)]),
        "nine-parts": (grid9, [0, 0, 0, 1, 0, 2, 0, 0, 0], 0.02, 1.5, (0.0, 0.0), [(-0.6, 0.0, 0.54), (0.6, 0.1, 0.545)]),
    }
    print("case,gapMm,tiltX,tiltY,part0MilliN,part1MilliN")
    for name, (places, which, warp, load, centre, parts) in cases.items():
        places = np.array(places)
        far = (places**2).sum(1).max()
        w = warp * (places**2).sum(1) / far

        def energy(p, places=places, which=which, w=w, load=load, centre=centre):
            h = p[0] + p[1] * places[:, 0] + p[2] * places[:, 1] + w
            return sum(float(splines[k](x)) for k, x in zip(which, h)) + load * (p[0] + p[1] * centre[0] + p[2] * centre[1])

        def solve(shift=None):
            cons = []
            for k, (x, y, c) in enumerate(parts):
                stop = c - warp * (x * x + y * y) / far + (shift[k] if shift else 0)
                cons.append({"type": "ineq", "fun": lambda p, x=x, y=y, s=stop: p[0] + p[1] * x + p[2] * y - s})
            best = minimize(energy, [0.56, 0, 0], constraints=cons, bounds=[(0.47, 0.62), (-0.02, 0.02), (-0.02, 0.02)], method="SLSQP", options={"ftol": 1e-15, "maxiter": 500})
            return best.x, best.fun

        p, e = solve()
        forces = []
        for k in range(len(parts)):
            d = 1e-4
            up = [d if j == k else 0 for j in range(len(parts))]
            down = [-d if j == k else 0 for j in range(len(parts))]
            forces.append((solve(up)[1] - solve(down)[1]) / (2 * d))
        forces += [0.0] * (2 - len(forces))
        print("%s,%.6f,%.7f,%.7f,%.4f,%.4f" % (name, *p, *forces), flush=True)


main()
