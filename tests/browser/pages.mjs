// The pages under test, made by the program itself from invented fleets.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, mkdirSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const program = process.env.BLADEWANE ?? join(root, "target", "release", "bladewane");

/** Names that would do harm on a page that takes them for markup. */
export const HOSTILE = [
  "<script>document.title='taken'</script>",
  "\"><img src=x onerror=\"document.title='taken'\">",
  "</title></style></script><svg onload=document.title='taken'>",
  "' onmouseover='document.title=1' x='",
  "{{7*7}} &amp; &lt;b&gt;",
];

function bladewane(...words) {
  execFileSync(program, [...words, "--quiet"], { stdio: ["ignore", "ignore", "inherit"] });
}

function table(folder, name, rows) {
  const cell = (value) => `"${String(value).replaceAll('"', '""')}"`;
  writeFileSync(join(folder, `${name}.csv`), rows.map((row) => row.map(cell).join(",")).join("\n") + "\n");
}

function hostileFleet(folder) {
  mkdirSync(folder);
  const [script, image, closing, attribute, braces] = HOSTILE;
  const model = image;
  writeFileSync(join(folder, "fleet.toml"), `name = ${JSON.stringify(closing)}\ncurrency = ${JSON.stringify("<i>x")}\n`);
  table(folder, "propellers", [
    ["propeller", "model", "use", "base", "aircraft", "in_service_date", "acquired"],
    ...HOSTILE.map((name) => [name, model, "rental", attribute, closing, "2005-01-01", "new"]),
  ]);
  table(folder, "models", [
    ["model", "diameter_in", "blades", "interval_hours", "interval_months"],
    [model, 76, 2, 2000, 72],
  ]);
  table(folder, "limits", [
    ["model", "station_pct", "width_new_in", "width_min_in", "thickness_new_in", "thickness_min_in", "source"],
    [model, 30, 5.41, 5.17, 0.975, 0.903, script],
    [model, 60, 5.44, 5.23, 0.476, 0.413, script],
    [model, 90, 3.75, 3.56, 0.249, 0.189, script],
  ]);
  const visits = ["2010-05-01", "2015-05-01", "2020-05-01"];
  table(folder, "overhauls", [
    ["propeller", "overhaul_date", "work", "outcome", "shop", "hours_since_overhaul"],
    ...HOSTILE.flatMap((name) => visits.map((day) => [name, day, "overhaul", "released", image, 1500])),
  ]);
  table(folder, "measurements", [
    ["propeller", "overhaul_date", "blade", "station_pct", "width_before_in", "width_after_in", "thickness_before_in", "thickness_after_in"],
    ...HOSTILE.flatMap((name, p) => visits.flatMap((day, v) => [1, 2].flatMap((blade) => [[30, 5.41, 0.975], [60, 5.44, 0.476], [90, 3.75, 0.249]].map(([at, width, thick]) => {
      const [w, t] = [width - 0.022 * (v + 1) - 0.002 * p, thick - 0.008 * (v + 1) - 0.001 * p];
      return [name, day, blade, at, (w + 0.01).toFixed(3), w.toFixed(3), (t + 0.004).toFixed(3), t.toFixed(3)];
    })))),
  ]);
  table(folder, "defects", [
    ["propeller", "found_date", "blade", "station_pct", "surface", "kind", "depth_in", "action", "action_by"],
    ...HOSTILE.map((name) => [name, "2024-03-01", 1, 75, "leading_edge", "nick", 0.02, "none", script]),
    [script, image, 1, 75, attribute, closing, 0.02, "none", script],
  ]);
  table(folder, "bases", [["base", "air", "surface"], [attribute, "coast", "gravel"]]);
  table(folder, "prices", [["model", "overhaul_cost", "replacement_cost"], [model, 1000, 4000]]);
  table(folder, "aircraft_hours", [
    ["aircraft", "reading_date", "hours", "meter"],
    ...[2021, 2022, 2023, 2024, 2025].map((year, n) => [closing, `${year}-12-01`, 100 + 150 * n, "tach"]),
  ]);
  table(folder, "fitted", [["propeller", "aircraft", "from_date"], [script, closing, "2020-06-01"]]);
}

/** Makes the pages and gives where each lies. */
export function make() {
  const folder = mkdtempSync(join(tmpdir(), "bladewane-pages-"));
  const demo = process.env.REPORT ?? join(root, "demo-results", "report.html");
  if (!existsSync(demo)) throw new Error(`${demo} is not there: run the main job of the README first`);
  const page = (fleet, name) => {
    const file = join(folder, `${name}.html`);
    bladewane("report", fleet, file, "--as-of", "2026-06-30");
    return file;
  };
  hostileFleet(join(folder, "hostile"));
  mkdirSync(join(folder, "thin"));
  table(join(folder, "thin"), "propellers", [["propeller"], ["A-1"], ["A-2"]]);
  bladewane("demo", join(folder, "large"), "--propellers", "500", "--seed", "3");
  return {
    demo,
    hostile: page(join(folder, "hostile"), "hostile"),
    thin: page(join(folder, "thin"), "thin"),
    large: page(join(folder, "large"), "large"),
    folder,
  };
}
