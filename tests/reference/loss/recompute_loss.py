#!/usr/bin/env python3
"""The loss table of the small fleet beside this file, worked out with pandas and written apart from the program.

python recompute_loss.py > expected_loss.csv      (pandas; the version stands in the output's first line)

Rules, as a person would put them: visits in date order; the reading before is the last after reading of that blade, station
and dimension; the first reading of a propeller that came new starts at the new dimension; a visit that names another model
ends every chain and has no differences of its own.
"""
import math
from pathlib import Path
import pandas as pd

here = Path(__file__).parent / "fleet"
read = lambda name: pd.read_csv(here / f"{name}.csv", dtype={"propeller": str})
props, models, limits, visits, sheets = map(read, ["propellers", "models", "limits", "overhauls", "measurements"])
model_of = dict(zip(props.propeller, props.model))
acquired = dict(zip(props.propeller, props.acquired))
diameter = dict(zip(models.model, models.diameter_in))
rows = []
for propeller, own in visits.sort_values("overhaul_date").groupby("propeller"):
    model, last, chain_whole, overhaul_no = model_of[propeller], {}, True, 0
    for visit_no, visit in enumerate(own.itertuples(), start=1):
        changes = isinstance(visit.model_after, str) and visit.model_after != model
        if changes:
            model, last, chain_whole = visit.model_after, {}, False
        overhaul_no += visit.work == "overhaul"
        sheet = sheets[(sheets.propeller == propeller) & (sheets.overhaul_date == visit.overhaul_date)]
        keep = {}
        for r in sheet.sort_values(["blade", "station_pct"]).itertuples():
            lim = limits[(limits.model == model) & (limits.station_pct == r.station_pct)].iloc[0]
            row = {"propeller": propeller, "overhaul_date": visit.overhaul_date, "blade": r.blade, "station_pct": float(r.station_pct),
                   "visit_no": visit_no, "overhaul_no": overhaul_no if visit.work == "overhaul" else math.nan,
                   "station_in": r.station_pct / 100 * diameter[model] / 2}
            modulus = 1.0
            for x, power in (("thickness", 2), ("width", 1)):
                before, after = getattr(r, f"{x}_before_in"), getattr(r, f"{x}_after_in")
                new, low = lim[f"{x}_new_in"], lim[f"{x}_min_in"]
                start, span, drawing = math.nan, math.nan, None
                if not changes:
                    if (r.blade, r.station_pct, x) in last:
                        start, at = last[r.blade, r.station_pct, x]
                        span, drawing = visit_no - at, False
                    elif acquired[propeller] == "new" and chain_whole:
                        start, span, drawing = new, visit_no, True
                loss = start - after
                known = not math.isnan(loss)
                row |= {f"{x}_before_in": before, f"{x}_after_in": after, f"{x}_removed_in": math.nan if changes else before - after,
                        f"{x}_service_loss_in": start - before, f"{x}_loss_in": loss,
                        f"{x}_visits_spanned": span if known else math.nan, f"{x}_from_drawing": drawing if known else None,
                        f"{x}_margin_in": after - low, f"{x}_margin_fraction": (after - low) / (new - low)}
                modulus *= (after / new) ** power
                if not math.isnan(after):
                    keep[r.blade, r.station_pct, x] = (after, visit_no)
            row["section_modulus_retained"] = modulus
            rows.append(row)
        last |= keep
table = pd.DataFrame(rows).sort_values(["propeller", "overhaul_date", "blade", "station_pct"])
print(f"# pandas {pd.__version__}: python recompute_loss.py; invented readings")
print(table.to_csv(index=False, float_format="%.12g"), end="")
