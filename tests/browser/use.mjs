// Sorting, filtering and folding, by mouse and by keyboard.
import { equal, holds, test } from "./harness.mjs";
import { read } from "./reader.mjs";

const scores = (tab) => tab.evaluate(() => {
  const table = document.querySelector("#first table.sortable");
  const column = Array.from(table.tHead.rows[0].cells).findIndex((cell) => cell.textContent.includes("Score"));
  return Array.from(table.tBodies[0].rows).map((row) => Number.parseFloat(row.cells[column].dataset.v ?? row.cells[column].textContent));
});
const isSorted = (numbers, sign) => numbers.every((n, at) => at === 0 || sign * (n - numbers[at - 1]) >= 0);
const heading = (tab) => tab.locator("#first table.sortable").first().locator("thead th button", { hasText: "Score" }).first();

test("a table is sorted by mouse: up, down, as it was", async ({ context, pages }) => {
  const { tab, complaints, close } = await read(context, pages.demo);
  const before = await scores(tab);
  holds(before.length > 20 && !isSorted(before, 1), "the table is there, in another order");
  const th = heading(tab).locator("xpath=..");
  await heading(tab).click();
  holds(isSorted(await scores(tab), 1), "ascending");
  equal(await th.getAttribute("aria-sort"), "ascending", "aria-sort");
  await heading(tab).click();
  holds(isSorted(await scores(tab), -1), "descending");
  equal(await th.getAttribute("aria-sort"), "descending", "aria-sort");
  await heading(tab).click();
  equal(await scores(tab), before, "as it was");
  equal(await th.getAttribute("aria-sort"), null, "aria-sort");
  equal(complaints, [], "complaints");
  await close();
});

test("a table is sorted by keyboard", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  await heading(tab).focus();
  await tab.keyboard.press("Enter");
  holds(isSorted(await scores(tab), 1), "ascending after Enter");
  await tab.keyboard.press("Space");
  holds(isSorted(await scores(tab), -1), "descending after Space");
  await close();
});

// Rows about propellers that are on the page and those of them that are not hidden, and the keys the folds would keep.
const chosen = (tab) => tab.evaluate(() => {
  const rows = Array.from(document.querySelectorAll("#first tr[data-p]"));
  return { all: rows.length, shown: rows.filter((row) => !row.hidden).map((row) => row.dataset.p).sort() };
});
const keysOf = (tab, name, value) => tab.evaluate(([name, value]) => {
  const folds = Array.from(document.querySelectorAll("details[data-p]"));
  return folds.filter((fold) => (fold.dataset[name] ?? "") === value).map((fold) => fold.dataset.p).sort();
}, [name, value]);

test("the filter by use leaves the propellers of that use, and gives all back", async ({ context, pages }) => {
  const { tab, complaints, close } = await read(context, pages.demo);
  const all = await chosen(tab);
  equal(all.shown.length, all.all, "all are shown at first");
  await tab.getByLabel("Use").selectOption("rental");
  const wanted = await keysOf(tab, "use", "rental");
  holds(wanted.length > 0 && wanted.length < all.all, "some are rented out");
  equal((await chosen(tab)).shown, wanted, "the rented ones");
  const said = await tab.locator("#filter output").textContent();
  holds(said.startsWith(`${wanted.length} of `), `what is said: ${said}`);
  await tab.locator("#filter button").click();
  equal((await chosen(tab)).shown.length, all.all, "all again");
  equal(complaints, [], "complaints");
  await close();
});

test("the filter by text works by keyboard alone", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const serial = await tab.evaluate(() => document.querySelector("#first tr[data-p] a").textContent);
  await tab.locator("body").press("Tab");
  for (let step = 0; step < 40; step += 1) {
    const type = await tab.evaluate(() => document.activeElement?.getAttribute("type"));
    if (type === "search") break;
    await tab.keyboard.press("Tab");
  }
  equal(await tab.evaluate(() => document.activeElement?.getAttribute("type")), "search", "Tab reaches the field");
  await tab.keyboard.type(serial.toLowerCase());
  const found = await chosen(tab);
  equal(found.shown.length, 1, `rows that show ${serial}`);
  await tab.keyboard.press("Tab");
  await tab.keyboard.press("Enter");
  const again = await chosen(tab);
  equal(again.shown.length, again.all, "all again");
  await close();
});

test("a search that finds nobody says so", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  await tab.locator("#filter input[type=search]").fill("no such propeller");
  equal((await chosen(tab)).shown, [], "rows shown");
  holds(await tab.locator(".nobody:visible").count() > 0, "it is said in words");
  await close();
});

test("a long table shows its first rows until all are asked for", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const visible = () => tab.locator("#first table.sortable").first().locator("tbody > tr:visible").count();
  const all = await tab.locator("#first table.sortable").first().locator("tbody > tr").count();
  holds(all > 25, `${all} rows`);
  equal(await visible(), 25, "rows at first");
  const button = tab.locator("#first .tools button").first();
  await button.focus();
  await tab.keyboard.press("Enter");
  equal(await visible(), all, "rows after the button");
  await close();
});

test("a link to a propeller opens its fold and takes the reader there", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const link = tab.locator("#first tr[data-p] a").nth(3);
  const target = (await link.getAttribute("href")).slice(1);
  await link.focus();
  await tab.keyboard.press("Enter");
  await tab.waitForFunction((id) => document.getElementById(id).open, target);
  const top = await tab.evaluate((id) => document.getElementById(id).getBoundingClientRect().top, target);
  holds(Math.abs(top) < 300, `the fold is in sight: ${top}`);
  const focused = await tab.evaluate(() => document.activeElement?.nodeName);
  equal(focused, "SUMMARY", "the focus");
  await tab.keyboard.press("Enter");
  equal(await tab.evaluate((id) => document.getElementById(id).open, target), false, "folded again by keyboard");
  await close();
});

test("every fold opens and closes at once", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const open = () => tab.locator("details[data-p][open]").count();
  const all = await tab.locator("details[data-p]").count();
  holds(all > 50, `${all} folds`);
  await tab.getByRole("button", { name: "Open all" }).click();
  equal(await open(), all, "open");
  await tab.getByRole("button", { name: "Close all" }).click();
  equal(await open(), 0, "open");
  await close();
});

test("500 propellers are sorted and filtered too", async ({ context, pages }) => {
  const { tab, complaints, close } = await read(context, pages.large);
  await heading(tab).click();
  holds(isSorted(await scores(tab), 1), "ascending");
  await tab.getByLabel("Use").selectOption("rental");
  const wanted = await keysOf(tab, "use", "rental");
  equal((await chosen(tab)).shown, wanted, "the rented ones");
  equal(complaints, [], "complaints");
  await close();
});
