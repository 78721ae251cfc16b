// Play, Fretwork, the camber chooser and the strings' pull of every demo commission: sound, quiet,
// fitting, accessible, on screens and on paper, with every chart told in words and figures.
import { accessible, fits } from "./pages.mjs";
import { quiet } from "../shop.mjs";

const COMMISSIONS = ["Heron", "Sandpiper", "Bittern", "Avocet"];
const PAGES = ["play", "fretwork"];

/** These tests only look, so that several can run side by side. */
export const sideBySide = 3;

export async function facts(shop) {
  const addresses = {};
  for (const title of COMMISSIONS) {
    for (const name of PAGES) addresses[`${title}, ${name}`] = `${await shop.entry(title)}/${name}?fret=7&lane=1`;
  }
  addresses["Sandpiper as planned, fretwork"] = `${await shop.entry("Sandpiper")}/fretwork?on=planned&fret=0&lane=5`;
  const all = {};
  for (const [name, address] of Object.entries(addresses)) {
    all[`${name} answers 200 without a complaint and fits every width`] = (visit) => fits(visit, address);
    all[`${name} gives axe nothing to find`] = (visit) => accessible(visit, address);
  }
  for (const title of COMMISSIONS) {
    all[`the charts of ${title} have a unit, a source and a table behind them`] = (visit) => charts(visit, title);
    all[`nothing of ${title} is cut off when all is unfolded on a phone`] = (visit) => unfolded(visit, title);
  }
  all["lengths are shown in inches when inches are chosen"] = inches;
  all["on paper nothing is asked for and pictures are as wide as the sheet"] = printed;
  return all;
}

/** The chances come after the page, and are part of it. */
export async function whole(page) {
  if (/\/play/.test(page.url())) await page.locator("#chances[data-come]").waitFor();
}

const UNIT = /\b(mm|in|cents|%|radius)\b|\d″|%|°|× \d/;

async function charts(shop, title) {
  const page = await shop.window();
  for (const [name, ids] of [["play", ["buzz", "side", "bends", "cents", "shares"]], ["fretwork", ["nut", "saddle"]], ["camber", ["chooser"]]]) {
    await page.goto(`${shop.base}${await shop.entry(title)}/${name}?fret=3&lane=0`);
    await whole(page);
    for (const id of ids) {
      const chart = page.locator(`#picture-${id}`);
      const words = await chart.locator("svg text").allTextContents();
      if (!UNIT.test(words.join(" "))) throw new Error(`${name}, ${id}: no unit among ${words.join(" | ")}`);
      if (!(await chart.locator("svg > title").textContent()).trim()) throw new Error(`${name}, ${id}: no title`);
      if (!(await chart.locator("svg > desc").textContent()).trim()) throw new Error(`${name}, ${id}: not told to those who cannot see it`);
    }
    // A chart's section, or the page where it stands free, tells its source and holds its table.
    const bare = await page.locator(ids.map((id) => `#picture-${id}`).join(", ")).evaluateAll((all) => all
      .map((chart) => [chart.id, chart.closest("section[id]") || chart.closest(".content")])
      .filter(([, around]) => !around.querySelector("p.source") || !around.querySelector("table"))
      .map(([id]) => id));
    if (bare.length) throw new Error(`${name}: no source or no table with ${bare.join(", ")}`);
  }
  quiet(page);
}

async function unfolded(shop, title) {
  const page = await shop.window({ viewport: { width: 390, height: 844 } });
  for (const name of ["play", "fretwork", "camber", "wish"]) {
    await page.goto(`${shop.base}${await shop.entry(title)}/${name}?fret=3&lane=0`);
    await whole(page);
    const cut = await page.evaluate(() => {
      for (const fold of document.querySelectorAll("details")) fold.open = true;
      return [...document.querySelectorAll("main *")]
        .filter((each) => !each.closest(".scroller, .unseen") && each.getBoundingClientRect().right > innerWidth + 1)
        .map((each) => `${each.tagName} "${each.textContent.trim().slice(0, 30)}"`);
    });
    if (cut.length) throw new Error(`${name}: ${cut.length} places reach past the window: ${cut.slice(0, 3).join(", ")}`);
  }
  quiet(page);
}

/** The unit is the whole book's, so that this test puts it back. */
async function inches(shop) {
  const page = await shop.window();
  try {
    await shop.post("/units", { unit: "inch", back: "/book" });
    for (const name of ["play", "fretwork"]) {
      await page.goto(`${shop.base}${await shop.entry("Sandpiper")}/${name}?on=frets`);
      await whole(page);
      const left = await page.locator(".figure .value, .figure .side, .content td:not(:has(input)), .content li, .content p:not(.meaning)").evaluateAll((all) => all
        .map((each) => each.textContent).filter((words) => /\d mm\b/.test(words)));
      if (left.length) throw new Error(`${name}: still in mm: ${left.slice(0, 3).join(" | ")}`);
      if (!/\d in\b/.test(await page.locator(".figure").first().innerText())) throw new Error(`${name}: no inches`);
    }
    quiet(page);
  } finally {
    await shop.post("/units", { unit: "mm", back: "/book" });
  }
}

async function printed(shop) {
  const page = await shop.window();
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: 718, height: 1000 }); // 190 mm of paper at 96 px an inch
  for (const name of ["play", "fretwork"]) {
    await page.goto(`${shop.base}${await shop.entry("Sandpiper")}/${name}`);
    await whole(page);
    const surfaces = (await page.locator("#surfaces").innerText()).replace(/\s+/g, " ").trim();
    if (surfaces !== "Played on the fret tops as read") throw new Error(`${name}: the sheet tells of its surface: ${surfaces}`);
    const asked = await page.locator("main :is(input, select, button, form)").evaluateAll((all) => all.filter((each) => each.checkVisibility()).map((each) => each.outerHTML.slice(0, 60)));
    if (asked.length) throw new Error(`${name}: ${asked.length} on paper: ${asked[0]}`);
    const wide = await page.locator("figure.picture svg").evaluateAll((all) => all.filter((each) => each.getBoundingClientRect().right > innerWidth + 1).length);
    if (wide) throw new Error(`${name}: ${wide} pictures are wider than the sheet`);
    // A heading with nothing under it tells nothing.
    const empty = await page.locator("main :is(h2, h3)").evaluateAll((all) => all.filter((each) => {
      if (!each.checkVisibility()) return false;
      let after = each.nextElementSibling;
      while (after && !/^H[1-3]$/.test(after.tagName)) {
        if (after.checkVisibility() && after.getBoundingClientRect().height > 0 && !after.matches("p.faint")) return false;
        after = after.nextElementSibling;
      }
      return true;
    }).map((each) => each.textContent));
    if (empty.length) throw new Error(`${name}: headings with nothing under them: ${empty.join(", ")}`);
  }
}
