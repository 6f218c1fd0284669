// On paper: A4 and Letter, no chart cut, heads repeated, a page number and the date on every sheet.
import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { writeFileSync } from "node:fs";
import { equal, holds, test } from "./harness.mjs";
import { read } from "./reader.mjs";

const PAPERS = { A4: [595, 842], Letter: [612, 792] };

/** Words of a PDF with their place, page by page, in points from the top left corner. */
function words(file) {
  const html = execFileSync("pdftotext", ["-bbox", file, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  return html.split("<page ").slice(1).map((page) => ({
    width: Number(/width="([\d.]+)"/.exec(page)[1]),
    height: Number(/height="([\d.]+)"/.exec(page)[1]),
    words: Array.from(page.matchAll(/<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)<\/word>/g), (m) => ({
      left: Number(m[1]), top: Number(m[2]), right: Number(m[3]), bottom: Number(m[4]), text: m[5],
    })),
  }));
}

for (const [format, [width, height]] of Object.entries(PAPERS)) {
  test(`on ${format} no word is cut off, and every sheet has its number and the date`, async ({ context, pages }) => {
    const { tab, close } = await read(context, pages.demo);
    const file = join(pages.folder, `demo-${format}.pdf`);
    writeFileSync(file, await tab.pdf({ format, printBackground: true, preferCSSPageSize: false }));
    const sheets = words(file);
    holds(sheets.length > 3, `${sheets.length} sheets`);
    sheets.forEach((sheet, at) => {
      holds(Math.abs(sheet.width - width) < 1.5 && Math.abs(sheet.height - height) < 1.5, `sheet ${at + 1} is ${sheet.width} by ${sheet.height}`);
      const outside = sheet.words.filter((w) => w.left < 15 || w.right > width - 15 || w.top < 10 || w.bottom > height - 10);
      equal(outside.slice(0, 3).map((w) => w.text), [], `sheet ${at + 1}: words at the edge`);
      const text = sheet.words.map((w) => w.text).join(" ");
      holds(text.includes("2026-06-30"), `sheet ${at + 1}: the date`);
      holds(new RegExp(`\\b${at + 1}\\s*(/|of)\\s*${sheets.length}\\b`).test(text), `sheet ${at + 1}: its number`);
    });
    await close();
  });

  test(`on ${format} every chart is whole on one sheet`, async ({ context, pages }) => {
    // Laid out as on paper: the width between the margins, print rules in force.
    const { tab, close } = await read(context, pages.demo);
    await tab.emulateMedia({ media: "print" });
    const margin = 14 / 25.4 * 96;
    const [wide, high] = [width / 72 * 96 - 2 * margin, height / 72 * 96 - 2 * margin];
    await tab.setViewportSize({ width: Math.floor(wide), height: Math.floor(high) });
    const cut = await tab.evaluate(([wide, high]) => {
      const bad = [];
      for (const chart of document.querySelectorAll("main svg")) {
        if (chart.closest("details:not([open])") || chart.parentElement.closest("svg")) continue;
        const box = chart.getBoundingClientRect();
        if (box.width === 0) continue;
        if (box.right > wide + 1 || box.left < -1) bad.push(`${chart.id || chart.getAttribute("class")} is ${box.left} to ${box.right} wide of ${wide}`);
        if (box.height > high) bad.push(`${chart.id} is ${box.height} high of ${high}`);
        // A row, a list item or a figure is never broken between sheets; a chart outside of all of them must say so itself.
        let keeper = chart;
        while (keeper && keeper.nodeName !== "MAIN" && getComputedStyle(keeper).breakInside !== "avoid" && keeper.nodeName !== "THEAD") keeper = keeper.parentElement;
        if (!keeper || keeper.nodeName === "MAIN") bad.push(`${chart.id || chart.getAttribute("class")} may be broken`);
      }
      return bad.slice(0, 5);
    }, [wide, high]);
    equal(cut, [], "charts");
    const heads = await tab.evaluate(() => Array.from(document.querySelectorAll("main table thead")).filter((head) => getComputedStyle(head).display !== "table-header-group" && head.offsetParent !== null).length);
    equal(heads, 0, "heads that are not repeated");
    await close();
  });
}

test("every row of a long table is printed", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const serials = await tab.evaluate(() => Array.from(document.querySelectorAll("#first tr[data-p] a"), (a) => a.textContent));
  const file = join(pages.folder, "rows.pdf");
  writeFileSync(file, await tab.pdf({ format: "A4" }));
  const text = execFileSync("pdftotext", [file, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  equal(serials.filter((serial) => !text.includes(serial)), [], "serials missing on paper");
  await close();
});

test("paper is light whatever the screen", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo, { scheme: "dark" });
  await tab.emulateMedia({ media: "print", colorScheme: "dark" });
  const light = await tab.evaluate(() => {
    const ink = getComputedStyle(document.body).color.match(/\d+/g).map(Number);
    return ink.every((part) => part < 110);
  });
  holds(light, "ink on paper is dark");
  await close();
});
