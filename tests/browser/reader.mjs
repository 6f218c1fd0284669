// One tab with the page in it, and what it complained of.
import { pathToFileURL } from "node:url";

export const WIDTHS = [360, 800, 1280, 1600];

/** Opens a page; `complaints` holds console errors, exceptions and every request but the page's own. */
export async function read(context, file, { width = 1280, scheme = "light", script = true } = {}) {
  const url = pathToFileURL(file).href;
  const complaints = [];
  let tab;
  let close;
  if (script) {
    tab = await context.newPage();
    close = () => tab.close();
  } else {
    const other = await context.browser().newContext({ javaScriptEnabled: false });
    tab = await other.newPage();
    close = () => other.close();
  }
  tab.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) complaints.push(`console: ${message.text()}`);
  });
  tab.on("pageerror", (error) => complaints.push(`exception: ${error.message}`));
  tab.on("dialog", (dialog) => {
    complaints.push(`dialog: ${dialog.message()}`);
    dialog.dismiss();
  });
  tab.on("request", (request) => {
    if (request.url() !== url) complaints.push(`request: ${request.url()}`);
  });
  await tab.setViewportSize({ width, height: 900 });
  await tab.emulateMedia({ colorScheme: scheme });
  await tab.goto(url);
  return { tab, url, complaints, close };
}
