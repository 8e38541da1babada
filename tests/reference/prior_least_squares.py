"""Reference values for least squares with a prior, by SciPy's general solver.

Run by hand with Debian's python3-scipy; the printed numbers stand in
tests/Graftbench.Core.Tests/Numerics/PriorLeastSquaresTests.cs with this file as their source.

Case: a lumped body under a step of the gas, T = 25 + a (1 - exp(-t / tau)), and a probe that reads 0.02 (gas - T) too much
and has a bias. Fitted are log(a / 200), log(tau / 60), the bias, the share. The readings carry fixed "noise" from sines, so
that no random generator has to agree. The covariance is the inverse of J'J of all residuals, those of the prior among them.
"""
import numpy as np
from scipy.optimize import least_squares

t = np.arange(0.0, 300.0, 5.0)
gas = 260.0


def model(p):
    a, tau, bias, share = 200 * np.exp(p[0]), 60 * np.exp(p[1]), p[2], p[3]
    body = 25 + a * (1 - np.exp(-t / tau))
    return body + share * (gas - body) + bias


truth = np.array([np.log(1.15), np.log(0.85), 0.6, 0.025])
noise = 0.8 * np.sin(1.7 * np.arange(len(t))) + 0.5 * np.sin(0.37 * np.arange(len(t)) + 1)
y = model(truth) + noise
prior = np.array([0.0, 0.0, 0.0, 0.03])
prior_sd = np.array([0.2, 0.4, 0.8, 0.015])
sd = 2.2

fit = least_squares(
    lambda p: np.concatenate([(model(p) - y) / sd, (p - prior) / prior_sd]), prior, xtol=1e-14, ftol=1e-14, gtol=1e-14
)
cov = np.linalg.inv(fit.jac.T @ fit.jac)
print("numbers", *("%.6f" % v for v in fit.x))
print("sd", *("%.6f" % v for v in np.sqrt(np.diag(cov))))
c = cov / np.sqrt(np.outer(np.diag(cov), np.diag(cov)))
print("correlations 10 20 21 30 31 32", *("%.5f" % c[i, j] for i, j in [(1, 0), (2, 0), (2, 1), (3, 0), (3, 1), (3, 2)]))
