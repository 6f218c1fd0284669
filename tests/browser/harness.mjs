// What every test needs: a browser, the pages, and a count of what passed.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const FLAGS = [
  "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync",
];

/** A headless Chromium of the system, with a fresh profile. */
export async function open() {
  const profile = mkdtempSync(join(tmpdir(), "bladewane-chromium-"));
  const browser = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    headless: true,
    args: FLAGS,
  });
  return {
    browser: browser.browser() ?? browser,
    context: browser,
    close: async () => {
      await browser.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}

const tests = [];

/** Registers a test. */
export function test(name, body) {
  tests.push({ name, body });
}

/** Runs every test and gives how many failed; the last line counts both. */
export async function run(given) {
  let failed = 0;
  for (const { name, body } of tests) {
    try {
      await body(given);
      console.log(`ok    ${name}`);
    } catch (error) {
      failed += 1;
      console.log(`FAIL  ${name}\n      ${String(error?.message ?? error).replaceAll("\n", "\n      ")}`);
    }
  }
  console.log(`${tests.length - failed} passed, ${failed} failed`);
  return failed;
}

/** A failure unless the two are equal. */
export function equal(found, wanted, what) {
  const [a, b] = [JSON.stringify(found), JSON.stringify(wanted)];
  if (a !== b) throw new Error(`${what}: found ${a}, wanted ${b}`);
}

/** A failure unless it holds. */
export function holds(truth, what) {
  if (!truth) throw new Error(what);
}
