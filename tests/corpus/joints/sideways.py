"""Reference figures for how hard a molten joint centres, made without any code of this repository.

A general surface-energy minimiser (Debian package "evolver"), fully three-dimensional, quadratic elements, fixed volume, both rims
held, weight of the liquid included; the upper rim is moved sideways. The energy is even in the offset d, so the stiffness is
k = 2 (E(d) - E(0)) / d^2, with Richardson's rule over d and d/2 to take off the next term; the same once more on a finer mesh.
Run: python3 sideways.py > sideways.csv
"""

import math, os, subprocess, tempfile

G = 9.80665


def energy(rl, ru, v, gamma, rho, h, offset, n, folder):
    out = [
        "gravity_constant %.12f" % G,
        "boundary 1 parameters 1", "x1: %.12f*cos(p1)" % rl, "x2: %.12f*sin(p1)" % rl, "x3: 0",
        "boundary 2 parameters 1", "x1: %.12f + %.12f*cos(p1)" % (offset, ru), "x2: %.12f*sin(p1)" % ru, "x3: %.12f" % h,
        "vertices",
    ]
    for k in range(2 * n):
        out.append("%d %.12f boundary %d fixed" % (k + 1, 2 * math.pi * (k % n) / n, k // n + 1))
    out.append("edges")
    for k in range(n):
        out.append("%d %d %d boundary 1 fixed" % (k + 1, k + 1, (k + 1) % n + 1))
        out.append("%d %d %d boundary 2 fixed" % (n + k + 1, n + k + 1, n + (k + 1) % n + 1))
        out.append("%d %d %d" % (2 * n + k + 1, k + 1, n + k + 1))
    out.append("faces")
    for k in range(n):
        out.append("%d %d %d %d %d tension %.12f" % (k + 1, k + 1, 2 * n + (k + 1) % n + 1, -(n + k + 1), -(2 * n + k + 1), gamma))
    out.append("bodies")
    faces = " ".join(str(k + 1) for k in range(n))
    out.append("1 %s volume %.12f volconst %.12f density %.12e" % (faces, v, math.pi * ru * ru * h, rho * 1e-6))
    out.append("read")
    out.append("r; g 20; u; g 20; r; g 30; u; V; g 30; M 2; g 40; hessian; hessian; r; g 10; hessian; hessian; hessian; hessian;")
    out.append('printf "ENERGY %20.15f\\n", total_energy; q; q')
    path = os.path.join(folder, "joint.fe")
    with open(path, "w") as f:
        f.write("\n".join(out) + "\n")
    done = subprocess.run(["evolver", path], capture_output=True, text=True, timeout=300, stdin=subprocess.DEVNULL)
    for line in done.stdout.splitlines():
        if "ENERGY" in line and "%" not in line:
            return float(line.split()[1])
    raise RuntimeError(done.stdout[-800:] + done.stderr[-300:])


def stiffness(case, n, folder):
    e0 = energy(*case, 0.0, n, folder)
    d = 0.04 * case[0] / 0.3
    k1 = 2 * (energy(*case, d, n, folder) - e0) / d**2
    k2 = 2 * (energy(*case, d / 2, n, folder) - e0) / (d / 2) ** 2
    return (4 * k2 - k1) / 3


def main():
    folder = tempfile.mkdtemp()
    ball = lambda d: math.pi * d**3 / 6
    cases = {
        # name: lower radius, upper radius, volume, tension, density, gap
        "loaded": (0.30, 0.30, ball(0.76), 0.50, 7400.0, 0.511),
        "stretched": (0.30, 0.30, ball(0.76), 0.50, 7400.0, 0.70),
        "squashed": (0.30, 0.30, ball(0.76), 0.50, 7400.0, 0.42),
        "unequal": (0.225, 0.20, ball(0.45), 0.54, 7400.0, 0.29),
        "heavy": (1.20, 1.00, 2.2, 0.45, 8400.0, 0.75),
    }
    print("case,lowerMm,upperMm,volumeMm3,tensionNPerM,densityKgPerM3,gapMm,coarseMilliNPerMm,fineMilliNPerMm")
    for name, case in cases.items():
        coarse, fine = stiffness(case, 8, folder), stiffness(case, 12, folder)
        print("%s,%g,%g,%.9f,%g,%g,%g,%.6f,%.6f" % (name, *case, coarse, fine), flush=True)


main()
