"""Recomputes the loss table of the small fleet beside this file with pandas, apart from the program.

Run:  /opt/py/bin/python recompute_loss.py > expected_loss.csv      (any Python 3 with pandas)

What it follows, in its own words. For one propeller, blade, station and dimension, visits in date order:
removed = before - after; service loss = last after reading - before; loss = last after reading - after. The last after
reading may lie several visits back (visits_spanned). The first one starts at the new dimension only for acquired = new,
and never after a change of designation, which also forgets all readings. Sheets within 30 days of exactly one visit are
that visit's; sheets of no visit count as a visit of their own. Lengths come in millimetres and thousandths of an inch.
"""

import sys
from pathlib import Path

import pandas as pd

HERE = Path(__file__).parent / "fleet"
NOTHING = ["", "NA", "n/a", "-", "?"]


def read(name):
    return pd.read_csv(HERE / f"{name}.csv", dtype=str, keep_default_na=False, na_values=NOTHING)


propellers = read("propellers")
models = read("models").assign(diameter_in=lambda t: t.diameter_in.astype(float))
limits = read("limits")
limits[limits.columns[1:]] = limits[limits.columns[1:]].astype(float)
overhauls = read("overhauls").assign(day=lambda t: pd.to_datetime(t.overhaul_date))
sheets = read("measurements").assign(day=lambda t: pd.to_datetime(t.overhaul_date))
numbers = ["station_pct", "station_in", "width_before_mm", "width_after_mm", "thickness_before_thou", "thickness_after_thou"]
sheets[numbers] = sheets[numbers].astype(float)
for moment in ["before", "after"]:
    sheets[f"width_{moment}"] = sheets[f"width_{moment}_mm"] / 25.4
    sheets[f"thickness_{moment}"] = sheets[f"thickness_{moment}_thou"] / 1000


def visit_day(row):
    own = overhauls.loc[overhauls.propeller == row.propeller, "day"]
    if (own == row.day).any():
        return row.day
    near = own[(own - row.day).abs() <= pd.Timedelta(days=30)]
    return near.iloc[0] if len(near) == 1 else row.day


sheets["visit"] = sheets.apply(visit_day, axis=1)
visits = pd.concat(
    [
        overhauls[["propeller", "day", "work", "model_after"]],
        sheets[["propeller", "visit"]].rename(columns={"visit": "day"}),
    ]
)
# A row of `overhauls` comes before the days of sheets, so the first of each day is the visit itself where there is one.
visits = visits.drop_duplicates(["propeller", "day"]).merge(propellers[["propeller", "model", "acquired"]], on="propeller")
visits = visits.sort_values(["propeller", "day"]).reset_index(drop=True)
visits["visit_no"] = visits.groupby("propeller").cumcount() + 1
is_overhaul = visits.work == "overhaul"
visits["overhaul_no"] = is_overhaul.groupby(visits.propeller).cumsum().where(is_overhaul, 0)
named = visits.groupby("propeller").model_after.ffill()
visits["model_now"] = named.fillna(visits.model)
before = visits.groupby("propeller").model_now.shift().fillna(visits.model)
visits["changed"] = visits.model_now != before
visits["chain"] = visits.groupby("propeller").changed.cumsum()

rows = sheets.merge(visits, left_on=["propeller", "visit"], right_on=["propeller", "day"], suffixes=("_sheet", ""))
rows = rows.merge(models[["model", "diameter_in"]], left_on="model_now", right_on="model", suffixes=("", "_m"))
rows["at_in"] = rows.station_in.fillna(rows.station_pct / 100 * rows.diameter_in / 2)
limits = limits.merge(models[["model", "diameter_in"]], on="model")
limits["listed_in"] = limits.station_pct / 100 * limits.diameter_in / 2
rows = rows.drop(columns=["station_pct", "diameter_in", "model"]).merge(limits, left_on="model_now", right_on="model")
rows = rows[(rows.at_in - rows.listed_in).abs() <= 0.1 + 1e-9]
assert len(rows) == len(sheets), "every row finds its one station"
rows = rows.sort_values(["propeller", "visit", "blade", "listed_in"]).reset_index(drop=True)

out = rows[["propeller", "visit", "blade", "station_pct", "visit_no", "overhaul_no"]].copy()
out["station_in"] = rows.listed_in
modulus = 1.0
for dimension, power in [("thickness", 2), ("width", 1)]:
    came, left = rows[f"{dimension}_before"], rows[f"{dimension}_after"]
    new, least = rows[f"{dimension}_new_in"], rows[f"{dimension}_min_in"]
    place = [rows.propeller, rows.chain, rows.blade, rows.listed_in]
    last = left.groupby(place).transform(lambda s: s.ffill().shift())
    at = rows.visit_no.where(left.notna()).groupby(place).transform(lambda s: s.ffill().shift())
    fresh = (rows.acquired == "new") & (rows.chain == 0) & last.isna()
    start = last.where(~fresh, new).where(~rows.changed)
    loss = start - left
    out[f"{dimension}_before_in"] = came
    out[f"{dimension}_after_in"] = left
    out[f"{dimension}_removed_in"] = (came - left).where(~rows.changed)
    out[f"{dimension}_service_loss_in"] = start - came
    out[f"{dimension}_loss_in"] = loss
    out[f"{dimension}_visits_spanned"] = (rows.visit_no - at.where(~fresh, 0)).where(loss.notna()).astype("Int64")
    out[f"{dimension}_from_drawing"] = fresh.map({True: "true", False: "false"}).where(loss.notna())
    out[f"{dimension}_margin_in"] = left - least
    out[f"{dimension}_margin_fraction"] = (left - least) / (new - least)
    modulus = modulus * (left / new) ** power
out["section_modulus_retained"] = modulus
out["overhaul_no"] = out.overhaul_no.astype("Int64").where(out.overhaul_no > 0)
out["visit"] = out.visit.dt.strftime("%Y-%m-%d")
out = out.rename(columns={"visit": "overhaul_date"})
print("# Recomputed by recompute_loss.py from the tables in fleet/ (an invented fleet), independently of the program.")
print(f"# Python {sys.version.split()[0]}, pandas {pd.__version__}; lengths in inches, an empty cell is not known.")
print(out.to_csv(index=False, float_format="%.15g"), end="")
