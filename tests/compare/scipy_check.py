#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Fits and Student factors worked out again by scipy (Debian's python3-scipy). Argument: the program print_fits."""
import json
import subprocess
import sys

try:
    import numpy
    from scipy import linalg, stats
except ImportError:
    print("1..0 # SKIP python3-scipy is not installed")
    sys.exit(77)

count = failed = 0


def near(got, want, relative, label):
    global count, failed
    count += 1
    fine = abs(got - want) <= relative * max(abs(want), 1)
    failed += not fine
    print(f"{'ok' if fine else 'not ok'} {count} - {label}: got {got:.12g}, scipy {want:.12g}, tolerance {relative:g}")


lines = subprocess.run([sys.argv[1]], check=True, capture_output=True, text=True).stdout.splitlines()
for number, line in enumerate(lines, 1):
    case = json.loads(line)
    x, y, at = numpy.array(case["x"]), numpy.array(case["y"]), case["at"]
    centre = x.mean()
    design = numpy.vander(x - centre, case["degree"] + 1, increasing=True)
    solution = linalg.lstsq(design, y)[0]
    inverse = linalg.inv(design.T @ design)
    row = (at - centre) ** numpy.arange(case["degree"] + 1)
    slope_row = numpy.array([0, 1, 2 * (at - centre)])[: case["degree"] + 1]
    rest = y - design @ solution
    label = f"set {number} ({len(x)} runs, degree {case['degree']})"
    near(case["value"], row @ solution, 1e-10, label + " value")
    near(case["slope"], slope_row @ solution, 1e-9, label + " slope")
    near(case["leverage"], row @ inverse @ row, 1e-10, label + " leverage")
    near(case["slope_leverage"], slope_row @ inverse @ slope_row, 1e-9, label + " leverage of the slope")
    near(case["squares"], rest @ rest, 1e-9, label + " residual squares")
    # GSL iterates the quantile to some 1e-8; the GUM's table gives 1e-2
    near(case["factor"], stats.t.ppf(0.975, case["degrees"]), 1e-7, label + " Student factor")
    near(case["tail"], 2 * stats.t.sf(1.5, case["degrees"]), 1e-9, label + " Student tail")
    if case["degree"] == 1:
        line_fit = stats.linregress(x, y)
        scatter = (rest @ rest / (len(x) - 2)) ** 0.5
        near(scatter * case["slope_leverage"] ** 0.5, line_fit.stderr, 1e-9, label + " standard error of the slope")
near(len(lines), 40, 0, "all sets seen")
print(f"1..{count}")
sys.exit(failed > 0)
