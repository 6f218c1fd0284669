// The page stands alone: it asks for nothing, complains of nothing, fits every width, and takes no name for markup.
import { equal, holds, test } from "./harness.mjs";
import { HOSTILE } from "./pages.mjs";
import { WIDTHS, read } from "./reader.mjs";

for (const scheme of ["light", "dark"]) {
  test(`no complaint and no request in ${scheme}`, async ({ context, pages }) => {
    for (const name of ["demo", "hostile", "thin", "large"]) {
      const { tab, complaints, close } = await read(context, pages[name], { scheme });
      await tab.mouse.wheel(0, 5000);
      await tab.waitForTimeout(50);
      equal(complaints, [], name);
      await close();
    }
  });
}

for (const width of WIDTHS) {
  test(`the page does not scroll sideways at ${width} px`, async ({ context, pages }) => {
    for (const name of ["demo", "hostile", "thin"]) {
      const { tab, close } = await read(context, pages[name], { width });
      // Folds open too: what is in them has to fit as well.
      await tab.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
      const wide = await tab.evaluate(() => {
        const page = document.documentElement;
        if (page.scrollWidth <= page.clientWidth) return [];
        return Array.from(document.querySelectorAll("main *, header *"))
          .filter((element) => element.getBoundingClientRect().right > page.clientWidth + 1)
          .slice(0, 5)
          .map((element) => `${element.nodeName}.${element.className}`);
      });
      equal(wide, [], `${name}: elements beyond the edge`);
      await close();
    }
  });
}

test("a name that looks like markup shows as text in every place", async ({ context, pages }) => {
  const { tab, complaints, close } = await read(context, pages.hostile);
  await tab.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
  await tab.waitForTimeout(100);
  const seen = await tab.evaluate(() => ({
    title: document.title,
    scripts: document.scripts.length,
    images: document.images.length,
    handlers: Array.from(document.querySelectorAll("*")).filter((e) => e.getAttributeNames().some((n) => n.startsWith("on"))).length,
    made: document.querySelectorAll("main script, main img, title svg").length,
    text: document.body.textContent,
  }));
  equal(seen.scripts, 1, "scripts");
  equal(seen.images, 0, "images");
  equal(seen.handlers, 0, "elements with handlers");
  equal(seen.made, 0, "elements made of names");
  holds(!seen.title.startsWith("taken"), "the title was taken over");
  for (const name of HOSTILE) holds(seen.text.includes(name), `not shown as written: ${name}`);
  equal(complaints, [], "complaints");
  await close();
});

test("the policy stops a script that was not there when the page was made", async ({ context, pages }) => {
  const { tab, close } = await read(context, pages.demo);
  const ran = await tab.evaluate(() => {
    const script = document.createElement("script");
    script.textContent = "document.documentElement.dataset.ran = 'yes'";
    document.body.append(script);
    return document.documentElement.dataset.ran ?? "no";
  });
  equal(ran, "no", "a script added later");
  await close();
});
