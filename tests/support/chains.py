"""Random chains with limits, and how near a general optimiser brings their ends to a target: tests/reference/chains.csv.

    python tests/support/chains.py > tests/reference/chains.csv

The optimiser is SciPy's L-BFGS-B (Byrd, Lu, Nocedal, Zhu, SIAM Journal on Scientific Computing 16, 1995) from many starts,
its best result polished by `trust-constr`.
"""
import numpy as np
import scipy
from scipy.optimize import minimize

rng = np.random.default_rng(20151)

def chain(turns, links):
    at, angle = np.zeros(2), 0.0
    joints = [at]
    for turn, link in zip(turns, links):
        angle += turn
        c, s = np.cos(angle), np.sin(angle)
        at = at + np.array([c * link[0] - s * link[1], s * link[0] + c * link[1]])
        joints.append(at)
    return joints

def half_square(turns, links, target):
    joints = chain(turns, links)
    off = joints[-1] - target
    arms = [joints[-1] - j for j in joints[:-1]]
    return 0.5 * off @ off, np.array([off @ np.array([-a[1], a[0]]) for a in arms])

print(f"# made by tests/support/chains.py with NumPy {np.__version__}, SciPy {scipy.__version__}")
print("# links as drawn, x y; limits in degrees, least most; target x y; least distance from the end to it that was found")
print("links,limits,target,left")
for case in range(160):
    n = [2, 2, 3, 4, 5][case % 5]
    links = rng.uniform(-1, 1, (n, 2))
    links *= (rng.uniform(20, 120, n) / np.linalg.norm(links, axis=1))[:, None]
    links = np.round(links, 3)
    least = np.round(rng.uniform(-150, 20, n), 1)
    most = np.round(least + rng.uniform(10, 170, n), 1)
    length = np.linalg.norm(links, axis=1).sum()
    reach = length * rng.uniform(0.05, 1.1)
    angle = rng.uniform(0, 2 * np.pi)
    target = np.round(reach * np.array([np.cos(angle), np.sin(angle)]), 3)
    lo, hi = np.radians(least), np.radians(most)
    best = None
    for _ in range(60):
        found = minimize(half_square, rng.uniform(lo, hi), (links, target), "L-BFGS-B", jac=True,
                         bounds=list(zip(lo, hi)), options={"ftol": 1e-18, "gtol": 1e-12, "maxiter": 2000})
        if best is None or found.fun < best.fun:
            best = found
        if best.fun < 1e-18:
            break
    left = np.sqrt(2 * best.fun)
    words = lambda pairs: ";".join(f"{a:g} {b:g}" for a, b in pairs)
    print(f"{words(links)},{words(zip(least, most))},{target[0]:g} {target[1]:g},{left:.9f}")
