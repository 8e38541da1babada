"""Chances of causes and expected gains by full enumeration with NumPy and SciPy, for DiagnoserTests.

Reads the table of data/ by itself and shares no code with the program. It writes
tests/corpus/diagnosis/reference.json: random sets of outcomes, the chance of every cause after each, and the expected
gain in bits of every test that is left, from the joint distribution over causes and all outcomes of that test.

    python3 tests/reference/diagnosis.py
"""
import csv
import json
import pathlib
import random

import numpy as np
from scipy.special import logsumexp
from scipy.stats import entropy

ROOT = pathlib.Path(__file__).resolve().parents[2]


def rows(name):
    text = [line for line in (ROOT / "data" / f"{name}.csv").read_text().splitlines() if line and line[0] != "#"]
    return list(csv.DictReader(text))


def main():
    causes = rows("diagnosis-causes")
    tests = rows("diagnosis-tests")
    prior = np.array([float(cause["prior"]) for cause in causes])
    tables = {}
    for test in tests:
        names = [part.split("=")[0] for part in test["outcomes"].split("|")]
        told = np.array([[float(cause[f"{test['test']}.{name}"]) for name in names[:-1]] for cause in causes])
        tables[test["test"]] = (names, np.column_stack([told, 1 - told.sum(axis=1)]))
    random.seed(20261127)
    cases = []
    for _ in range(60):
        chosen = random.sample(sorted(tables), random.randint(0, 6))
        seen = [(test, random.choice(tables[test][0])) for test in chosen]
        logs = np.log(prior)
        for test, outcome in seen:
            names, table = tables[test]
            column = table[:, names.index(outcome)]
            logs = logs + np.log(np.maximum(column, column.max() / 50))
        posterior = np.exp(logs - logsumexp(logs))
        gains = {}
        for test in sorted(set(tables) - set(chosen)):
            joint = posterior[:, None] * tables[test][1]
            # Mutual information from the joint: H(C) + H(O) - H(C, O).
            gains[test] = float(
                entropy(joint.sum(axis=1), base=2) + entropy(joint.sum(axis=0), base=2) - entropy(joint.ravel(), base=2)
            )
        cases.append({"seen": [list(pair) for pair in seen], "posterior": posterior.tolist(), "gains": gains})
    out = ROOT / "tests" / "corpus" / "diagnosis" / "reference.json"
    out.write_text(json.dumps(cases, indent=1) + "\n")


if __name__ == "__main__":
    main()
