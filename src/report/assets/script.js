"use strict";
/* Sorting, filtering and folding. Everything on the page is there and readable without it. */
(() => {
  const FIRST_ROWS = 25;
  const all = (selector, within = document) => Array.from(within.querySelectorAll(selector));
  const make = (name, words, properties = {}) => {
    const element = Object.assign(document.createElement(name), properties);
    element.textContent = words;
    return element;
  };
  document.documentElement.classList.add("js");

  /* Long tables: the first rows, and a button for the rest. A row the filter hides is no row here. */
  const tables = all("table.sortable, table.long").map((table) => {
    const rows = () => all("tbody > tr", table);
    const state = { table, rows, open: false, button: null };
    if (rows().length > FIRST_ROWS) {
      state.button = make("button", "", { type: "button" });
      state.button.addEventListener("click", () => {
        state.open = !state.open;
        cut(state);
      });
      const tools = make("p", "", { className: "tools" });
      tools.append(state.button);
      const place = table.closest(".scroll") || table;
      place.after(tools);
    }
    return state;
  });
  const cut = (state) => {
    const shown = state.rows().filter((row) => !row.hidden);
    shown.forEach((row, at) => row.classList.toggle("later", !state.open && at >= FIRST_ROWS));
    if (state.button) {
      state.button.textContent = state.open ? `Show the first ${FIRST_ROWS} rows` : `Show all ${shown.length} rows`;
      state.button.parentElement.hidden = shown.length <= FIRST_ROWS;
    }
  };

  /* Sorting: a button in each heading that says by what; ascending, descending, as it was. Unknown stays last. */
  const key = (row, column, kind) => {
    const cell = row.cells[column];
    if (!cell) return null;
    const text = (cell.dataset.v === undefined ? cell.textContent : cell.dataset.v).trim();
    if (text === "") return null;
    if (kind !== "n") return text;
    const number = Number.parseFloat(text.replace(/[\s\u202f\u00a0,]/g, "").replace("\u2212", "-"));
    return Number.isNaN(number) ? null : number;
  };
  const words = new Intl.Collator("en", { numeric: true });
  const sort = (state, heading, column, kind, order) => {
    for (const other of all("thead th[aria-sort]", state.table)) other.removeAttribute("aria-sort");
    if (order) heading.setAttribute("aria-sort", order);
    const sign = order === "descending" ? -1 : 1;
    for (const body of state.table.tBodies) {
      const rows = Array.from(body.rows);
      const keyed = rows.map((row) => [key(row, column, kind), Number(row.dataset.at), row]);
      keyed.sort(([a, i], [b, j]) => {
        if (!order) return i - j;
        if (a === null || b === null) return (a === null) - (b === null) || i - j;
        return sign * (kind === "n" ? a - b : words.compare(a, b)) || i - j;
      });
      body.append(...keyed.map(([, , row]) => row));
    }
    cut(state);
  };
  for (const state of tables) {
    if (!state.table.classList.contains("sortable")) continue;
    state.rows().forEach((row, at) => { row.dataset.at = at; });
    for (const heading of all("thead th[data-sort]", state.table)) {
      const button = make("button", "", { type: "button" });
      button.append(...Array.from(heading.childNodes).filter((node) => node.nodeName.toLowerCase() !== "svg"));
      /* On paper the words stand alone: browsers do not repeat a button in the head of every sheet. */
      const paper = make("span", button.textContent, { className: "paper" });
      heading.prepend(button, paper);
      button.addEventListener("click", () => {
        const next = { ascending: "descending", descending: "" }[heading.getAttribute("aria-sort")];
        sort(state, heading, heading.cellIndex, heading.dataset.sort, next === undefined ? "ascending" : next);
      });
    }
  }

  /* The filter: choices come from the folds. */
  const folds = all("details[data-p]");
  const bar = document.getElementById("filter");
  const choices = [];
  let apply = () => {};
  let clear = () => {};
  if (bar && folds.length > 1) {
    const form = make("form", "", { ariaLabel: "Choose propellers" });
    form.setAttribute("role", "search");
    form.addEventListener("submit", (event) => event.preventDefault());
    for (const [name, label] of [["use", "Use"], ["base", "Base"], ["model", "Model"]]) {
      const values = Array.from(new Set(folds.map((fold) => fold.dataset[name] || ""))).sort(words.compare);
      if (values.length < 2) continue;
      const select = document.createElement("select");
      select.append(make("option", "all", { value: "*" }));
      for (const value of values) select.append(make("option", value || "not recorded", { value }));
      const field = make("label", label);
      field.append(select);
      form.append(field);
      select.addEventListener("change", () => apply());
      choices.push({ input: select, none: "*", fits: (fold) => select.value === "*" || (fold.dataset[name] || "") === select.value });
    }
    const text = make("input", "", { type: "search", autocomplete: "off", spellcheck: false });
    const field = make("label", "Text");
    field.append(text);
    text.addEventListener("input", () => apply());
    choices.push({
      input: text,
      none: "",
      fits: (fold) => {
        const there = `${fold.dataset.text || ""} ${fold.querySelector("summary")?.textContent || ""}`.toLowerCase();
        return text.value.toLowerCase().split(/\s+/).every((word) => there.includes(word));
      },
    });
    const reset = make("button", "Show all", { type: "button", hidden: true });
    const said = make("output", "");
    said.setAttribute("aria-live", "polite");
    form.append(field, reset);
    bar.append(form, said);
    bar.hidden = false;

    const marked = all("[data-p]");
    const homes = Array.from(new Set(marked.map((element) => element.closest("table, ol, ul, section"))));
    apply = () => {
      const keep = new Set(folds.filter((fold) => choices.every((choice) => choice.fits(fold))).map((fold) => fold.dataset.p));
      const whole = choices.every((choice) => choice.input.value === choice.none);
      for (const element of marked) element.hidden = !whole && !keep.has(element.dataset.p);
      for (const state of tables) cut(state);
      for (const home of homes) {
        const nobody = all("[data-p]", home).every((element) => element.hidden);
        let note = home.nextElementSibling;
        if (!note || !note.classList.contains("nobody")) {
          if (!nobody || home.nodeName === "SECTION") continue;
          note = make("p", "None of the propellers chosen.", { className: "nobody" });
          home.after(note);
        }
        note.hidden = !nobody;
        home.hidden = nobody;
      }
      reset.hidden = whole;
      said.textContent = whole ? "" : `${keep.size} of ${folds.length} propellers chosen. Counts and sums in the text stay those of all.`;
    };
    clear = () => {
      for (const choice of choices) choice.input.value = choice.none;
      apply();
    };
    reset.addEventListener("click", () => {
      clear();
      text.focus();
    });
  }
  for (const state of tables) cut(state);

  /* Folds: all at once, and the one that a link leads to. */
  if (folds.length > 1) {
    const tools = make("p", "", { className: "tools" });
    for (const [label, open] of [["Open all", true], ["Close all", false]]) {
      const button = make("button", label, { type: "button" });
      button.addEventListener("click", () => {
        for (const fold of folds) if (!fold.hidden) fold.open = open;
      });
      tools.append(button);
    }
    folds[0].before(tools);
  }
  const follow = () => {
    const target = document.getElementById(location.hash.slice(1));
    if (!target) return;
    const fold = target.closest("details");
    if (!fold) return;
    if (fold.hidden) clear();
    fold.open = true;
    fold.scrollIntoView();
    fold.querySelector("summary")?.focus({ preventScroll: true });
  };
  addEventListener("hashchange", follow);
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href^='#p-']");
    if (link && link.getAttribute("href") === location.hash) follow();
  });
  if (location.hash) follow();
})();
