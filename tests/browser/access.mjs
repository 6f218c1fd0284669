// For keyboards and screen readers: axe-core's rules, and what it cannot see.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { equal, holds, test } from "./harness.mjs";
import { read } from "./reader.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

async function violations(tab) {
  await tab.evaluate(axe);
  const found = await tab.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  return found.violations
    .filter((v) => ["serious", "critical"].includes(v.impact))
    .map((v) => `${v.id}: ${v.nodes.length} times, first ${v.nodes[0].target.join(" ")}: ${v.nodes[0].failureSummary}`);
}

for (const scheme of ["light", "dark"]) {
  for (const [name, width] of [["demo", 1280], ["demo", 360], ["thin", 800], ["hostile", 800]]) {
    test(`axe finds nothing serious: ${name}, ${scheme}, ${width} px`, async ({ context, pages }) => {
      const { tab, close } = await read(context, pages[name], { scheme, width });
      // A fold that is closed hides what is in it from axe: a few are opened.
      await tab.evaluate(() => Array.from(document.querySelectorAll("details")).slice(0, 12).forEach((fold) => { fold.open = true; }));
      equal(await violations(tab), [], "violations");
      await close();
    });
  }
}

test("headings go down one level at a time", async ({ context, pages }) => {
  for (const name of ["demo", "thin"]) {
    const { tab, close } = await read(context, pages[name]);
    const levels = await tab.evaluate(() => Array.from(document.querySelectorAll("h1, h2, h3, h4, h5, h6"), (h) => Number(h.nodeName[1])));
    equal(levels.filter((level) => level === 1).length, 1, `${name}: first headings`);
    equal(levels.filter((level, at) => at > 0 && level > levels[at - 1] + 1), [], `${name}: levels left out`);
    await close();
  }
});

test("every chart has a name and its numbers in words", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const bare = await tab.evaluate(() => Array.from(document.querySelectorAll("main svg"))
    .filter((svg) => !svg.parentElement.closest("svg") && svg.getAttribute("aria-hidden") !== "true")
    .filter((svg) => !(svg.getAttribute("role") === "img" && svg.querySelector("title")?.textContent.trim()))
    .map((svg) => svg.outerHTML.slice(0, 120)));
  equal(bare.slice(0, 3), [], "charts without a name");
  await close();
});

test("the focus is seen wherever it is", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  for (let step = 0; step < 30; step += 1) {
    await tab.keyboard.press("Tab");
    const seen = await tab.evaluate(() => {
      const style = getComputedStyle(document.activeElement);
      return document.activeElement === document.body || (style.outlineStyle !== "none" && Number.parseFloat(style.outlineWidth) > 0) || style.boxShadow !== "none";
    });
    holds(seen, `step ${step + 1}`);
  }
  await close();
});

test("nothing moves for a reader who wants no motion", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  await tab.emulateMedia({ reducedMotion: "reduce" });
  const moving = await tab.evaluate(() => Array.from(document.querySelectorAll("*")).filter((element) => {
    const style = getComputedStyle(element);
    return style.animationName !== "none" || Number.parseFloat(style.transitionDuration) > 0 || style.scrollBehavior === "smooth";
  }).length);
  equal(moving, 0, "elements that move");
  await close();
});
