// Opens the page as its readers do and uses it: by mouse and keyboard, without script, in light and dark, on paper.
import { make } from "./pages.mjs";
import { open, run } from "./harness.mjs";
import "./alone.mjs";
import "./use.mjs";
import "./plain.mjs";
import "./paper.mjs";
import "./access.mjs";

const pages = make();
const opened = await open();
const failed = await run({ ...opened, pages });
await opened.close();
process.exit(failed === 0 ? 0 : 1);
