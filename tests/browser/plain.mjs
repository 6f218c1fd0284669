// Without script everything is there to read, and nothing that does nothing.
import { equal, holds, test } from "./harness.mjs";
import { read } from "./reader.mjs";

test("without script every row and word is there", async ({ context, pages }) => {
  for (const name of ["demo", "thin"]) {
    const without = await read(context, pages[name], { script: false });
    holds((await without.tab.content()).includes("</footer>"), `${name}: the page is whole`);
    const buttons = await without.tab.locator("button:visible, select:visible, input:visible").count();
    equal(buttons, 0, `${name}: controls that do nothing`);
    const visible = await without.tab.locator("#first table tbody > tr:visible").count();
    const all = await without.tab.locator("#first table tbody > tr").count();
    equal(visible, all, `${name}: rows that are seen`);
    holds(all > 0, `${name}: rows`);
    await without.close();
  }
});

test("without script a fold opens by keyboard", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo, { script: false });
  const fold = tab.locator("details[data-p]").first();
  await fold.locator("summary").first().focus();
  await tab.keyboard.press("Enter");
  equal(await fold.getAttribute("open"), "", "open");
  await close();
});

test("with and without script the sections say the same", async ({ context, pages }) => {
  const withScript = await read(context, pages.demo);
  const without = await read(context, pages.demo, { script: false });
  const headings = (tab) => tab.locator("main h2").allTextContents();
  equal(await headings(withScript.tab), await headings(without.tab), "sections");
  equal((await headings(without.tab)).length, 11, "sections");
  await withScript.close();
  await without.close();
});
