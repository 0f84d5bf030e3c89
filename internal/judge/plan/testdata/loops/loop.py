#!/usr/bin/python3
"""Closed loops: plan a block, cut it as a hand would, render the photo, check it.

  loop.py shoot --render RENDERER --program netagauge --trays 1-40 OUT   # writes plans, scenes and photos
  loop.py shoot ... --pairs --trays 41-48 OUT                            # the same with a second photo each
  loop.py check --program netagauge OUT > loops.csv                      # checks each photo, a row a slice

RENDERER is the folder of the photo generator (make.py, block.py), which clips
slices out of a block by two planes each. A hand is off by up to 2 degrees in
either angle, evenly and alike for the whole tray, and by up to 0.3 degrees more
in each cut, about the middle of the cut's line on the block's top. The block is
mirrored end to end (the generator's blade leans the other way)."""
import argparse, glob, json, math, os, subprocess, sys
import numpy as np

TRAY, CUT, MOST = 2.0, 0.3, 8
SPECIES = [("salmon", "salmon"), ("yellowtail", "yellowtail"), ("tuna_lean", "bluefin tuna"), ("white_fish", "sea bream"), ("tuna_fatty", "bluefin tuna")]
KINDS = ["bar", "loin", "belly", "bar", "loin", "slope", "tail", "temmi"]


def a_block(r, kind):
    """The generator's block; its taper runs straight (taper_exp 1)."""
    u = lambda a, b: float(round(r.uniform(a, b), 2))
    b = dict(kind="bar", len=u(200, 260), taper=0.0, taper_exp=1.0, corner=u(0.3, 1.0), rough=u(0, 0.1), W=u(48, 74), H=u(17, 28), seed=int(r.integers(1, 10**6)))
    if kind == "loin":
        b.update(taper=u(0.15, 0.35), W=u(60, 78), H=u(22, 30))
    if kind in ("belly", "slope"):
        b.update(kind="belly", low=u(0.35, 0.7), bulge=u(0, 0.06), W=u(50, 72), H=u(18, 28), taper=u(0.1, 0.25) if kind == "slope" else 0.0)
    if kind == "tail":
        b.update(taper=u(0.35, 0.5), W=u(48, 62), H=u(20, 26), len=u(180, 240))
    if kind == "temmi":
        b.update(kind="belly", low=u(0.15, 0.3), bulge=u(0, 0.04), W=u(48, 60), H=u(24, 32))
    return b


def heights(b):
    if b["kind"] == "bar":
        return [b["H"]] * 3
    low = b["low"] * b["H"]
    return [low, (low + b["H"]) / 2 + b["bulge"] * b["H"], b["H"]]


def stations(b):
    """As --stations reads them, from the narrow end on."""
    out = []
    for x, wide in ((0, 1 - b["taper"]), (b["len"], 1.0)):
        high = 1 - 0.8 * (1 - wide)
        out.append("%.4f:%.4fx%s" % (x, b["W"] * wide, "/".join("%.4f" % (h * high) for h in heights(b))))
    return ",".join(out)


def normal(theta, phi):
    t, f = math.radians(theta), math.radians(phi)
    return np.array([math.sin(t) * math.sin(f), math.cos(t) * math.sin(f), -math.cos(f)])


def top_middle(n, d, b):
    """Where a plan's plane crosses the middle of the block's top, in the plan's frame."""
    lo, hi = -500.0, 1000.0
    def at(x):
        return np.array([x, 0.0, heights(b)[1] * (1 - 0.8 * b["taper"] * (b["len"] - x) / b["len"])])
    for _ in range(80):
        x = (lo + hi) / 2
        lo, hi = (x, hi) if n @ at(x) < d else (lo, x)
    return at(lo)


def cut_plane(c, b, theta, phi):
    """The plan's plane through its mark, turned to these angles about the middle of its line on top."""
    narrow = 1 - b["taper"] * (b["len"] - c["board_near_mm"]) / b["len"]
    mark = np.array([c["board_near_mm"], -b["W"] / 2 * narrow, 0.0])
    n = normal(c["theta_deg"], c["phi_deg"])
    middle = top_middle(n, n @ mark, b)
    m = normal(theta, phi)
    return m, m @ middle


def mirrored(n, d, length):
    """The same plane in the generator's frame, x' = length - x, with its normal."""
    return np.array([n[0], -n[1], -n[2]]), n[0] * length - d


def generator_cut(block, b, first, second, angles):
    """Two planes as the generator is told them: the second tilts by a wedge over the face's length."""
    B = block.Block(b)
    u, w, n = block.knife(*angles)
    n2, d2 = second
    assert np.allclose(n, first[0], atol=1e-6)
    k = 1 / (n2 @ n)
    g = n2 * k - n
    m = len(B.C)
    j = np.arange(0, m, max(1.0, m / 3000.0)) if m > 8 else np.concatenate([np.arange(i, i + 1, 0.002) for i in range(m)])
    A = B.S(j, B.cut(j, n, first[1]))
    long = np.ptp(A @ u)
    c0 = (A.max(0) + A.min(0)) / 2
    return dict(d=float(first[1]), p=float(d2 * k - first[1] - g @ c0), wedge=float(np.linalg.norm(g) * long), wedge_dir=float(math.degrees(math.atan2(-g @ w, -g @ u))))


def scene(o, block, no, kind, r):
    """A tray's plan and its scene, by the generator's own setting of light, camera and wet fish."""
    preset = {"bar": "cut_bar", "loin": "cut_loin", "tail": "cut_loin"}.get(kind, "cut_belly")
    S = json.loads(subprocess.run([sys.executable, os.path.join(o.render, "make.py"), preset, str(9000 + no), "--dump"], capture_output=True, text=True, check=True).stdout)
    model = [s for s in S["slices"]]
    fish, name = SPECIES[int(r.integers(len(SPECIES)))]
    b = dict(a_block(r, kind), species=fish)
    run = subprocess.run([o.program, "plan", "--stations", stations(b), "--species", name, "--density", "1.05", "--no-tail-tip", "--json"], capture_output=True, text=True)
    if run.returncode:
        return None
    plan = json.loads(run.stdout)
    assert plan["start"] == "tail"
    tray = r.uniform(-TRAY, TRAY, 2)
    cuts = []
    for c in plan["cuts"]:
        theta, phi = np.array([c["theta_deg"], c["phi_deg"]]) + tray + r.uniform(-CUT, CUT, 2)
        cuts.append((theta, phi, mirrored(*cut_plane(c, b, theta, phi), b["len"])))
    marks = lambda c: [c[k] for k in ("top_near_mm", "top_far_mm", "board_near_mm", "board_far_mm")]
    within = lambda c: min(marks(c)) > 1 and max(marks(c)) < b["len"] - 1
    whole = [s for s in plan["slices"] if within(plan["cuts"][s["number"]]) and within(plan["cuts"][s["number"] - 1])]
    from_ = int(r.integers(max(len(whole) - MOST, 0) + 1))
    S["slices"], used = [], whole[from_:from_ + MOST]
    for i, s in enumerate(used):
        # the generator's first plane is the later cut's: x' runs the other way
        (theta, phi, second), (t1, f1, first) = cuts[s["number"] - 1], cuts[s["number"]]
        like = model[i % len(model)]
        cut = dict(like["cut"], block=b, theta=t1, phi=f1, down="older", **generator_cut(block, b, first_sign(first), first_sign(second), (t1, f1)))
        S["slices"].append(dict(like, species=fish, density=1.05, phi=f1, t=cut["p"], shape="cut_" + b["kind"], koba=None, triangular=False, cut=cut))
    S["seed"] = 9000 + no
    if len(used) < 2:
        return None
    return S, dict(tray=no, kind=kind, species=name, block=b, stations=stations(b), off=tray.tolist(), used=[s["number"] for s in used], plan=plan)


def first_sign(plane):
    """The generator's normal points up."""
    n, d = plane
    return (n, d) if n[2] > 0 else (-n, -d)


def shoot(o):
    sys.path.insert(0, o.render)
    import block
    os.makedirs(o.out, exist_ok=True)
    lo, hi = (int(v) for v in o.trays.split("-"))
    for no in range(lo, hi + 1):
        kind, path = KINDS[no % len(KINDS)], os.path.join(o.out, "loop-%02d" % no)
        if os.path.exists(path + ".jpg"):
            continue
        for again in range(20):  # a block that no plan serves is drawn anew
            made = scene(o, block, no, kind, np.random.default_rng([15, no, again]))
            if made:
                break
        S, told = made
        json.dump(told, open(path + ".plan.json", "w"))
        for name, tilt in (("", None), (".b", 180)) if o.pairs else (("", None),):
            if o.pairs:
                S["camera"].update(tilt=14, tilt_dir=tilt or 0)
            json.dump(S, open(path + ".scene.json", "w"))
            cmd = ["nice", "-n", "10", sys.executable, os.path.join(o.render, "make.py"), "--scene", path + ".scene.json", "-o", o.out, "-n", "loop-%02d%s" % (no, name), "--scale", "0.5", "--samples", "4", "--threads", "1"]
            subprocess.run(cmd, check=True, stdout=sys.stderr)


def check(o):
    print("tray,kind,slice,sure,off,true_length_mm,length_mm,true_width_mm,width_mm,true_g,g,verdict,faults")
    for path in sorted(glob.glob(os.path.join(o.out, "*.plan.json"))):
        name = path[:-len(".plan.json")]
        if os.path.exists(name + ".jpg"):
            check_tray(o, json.load(open(path)), json.load(open(name + ".truth.json")), name)


def check_tray(o, told, truth, name):
    from shapely.geometry import Polygon
    def report(*more):
        run = subprocess.run([o.program, "check", "--json", "--species", told["species"], "--density", "1.05", *more, name + ".jpg"], capture_output=True, text=True)
        return json.loads(run.stdout)
    def pieces(rep):
        out = {}
        for p in rep["pieces"]:
            if p["state"] != "measured":
                continue
            q = Polygon(p["outline_mm"]).buffer(0)
            for i, s in enumerate(truth["slices"]):
                t = Polygon(s["plan_outline_mm"]).buffer(0)
                if t.intersection(q).area > 0.5 * t.union(q).area:
                    out[i] = p
        return out
    if os.path.exists(name + ".b.jpg"):
        found = pieces(report("--second", name + ".b.jpg"))
    else:
        thick = ",".join("%d:%.3f" % (p["number"], truth["slices"][i]["mean_thickness_mm"]) for i, p in pieces(report()).items())
        found = pieces(report("--thickness", thick)) if thick else {}
    by = {s["number"]: s for s in told["plan"]["slices"]}
    for i, number in enumerate(told["used"]):
        s, t, p = by[number], truth["slices"][i], found.get(i, {})
        verdict = {"pass": "good", "unsure": "close", "fail": "again"}.get(p.get("verdict"), "not measured")
        num = lambda k: "%.2f" % p[k] if k in p else ""
        print(",".join([str(told["tray"]), told["kind"], str(number), str(s["sure"]).lower(), "%+.2f/%+.2f" % tuple(told["off"]),
                        "%.2f" % s["length_mm"], num("length_mm"), "%.2f" % s["width_mm"], num("width_mm"), "%.2f" % t["mass_g"], num("weight_g"),
                        verdict, "+".join(f["what"] for f in p.get("faults") or [])]), flush=True)


ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
ap.add_argument("do", choices=["shoot", "check"])
ap.add_argument("out")
ap.add_argument("--render")
ap.add_argument("--program", required=True)
ap.add_argument("--trays", default="1-40")
ap.add_argument("--pairs", action="store_true")
o = ap.parse_args()
{"shoot": shoot, "check": check}[o.do](o)
