// Every page of every demo commission, the kit and the book: sound, quiet, fitting, accessible.
import { createRequire } from "node:module";
import { WIDTHS, quiet } from "../shop.mjs";

const AXE = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
const COMMISSIONS = ["Heron", "Sandpiper", "Bittern", "Avocet"];
const PAGES = ["wish", "board", "camber", "bench-plan", "patterns", "text", "history"];
const SCHEMES = ["light", "dark"];

/** These tests only look, so that several can run side by side. */
export const sideBySide = 3;

export async function facts(shop) {
  const addresses = { "the book": "/book", "tablets, closed": "/tablet" };
  const kit = await shop.entry("North bench");
  Object.assign(addresses, { "the kit": kit, "the kit, history": `${kit}/history` });
  const changed = await changedTwice(shop);
  Object.assign(addresses, {
    "what was found": "/book?find=heron+ebony", "what has a tag": "/book?tag=ebony", "nothing found": "/book?find=no+such+words",
    "a history of several moments": `${changed.entry}/history`, "two moments": `${changed.entry}/compare?then=${changed.first}`,
  });
  for (const title of COMMISSIONS) {
    const entry = await shop.entry(title);
    for (const name of PAGES) addresses[`${title}, ${name}`] = `${entry}/${name}?fret=7&lane=1`;
  }
  const all = {};
  for (const [name, address] of Object.entries(addresses)) {
    all[`${name} answers 200 without a complaint and fits every width`] = (visit) => fits(visit, address);
    all[`${name} gives axe nothing to find`] = (visit) => accessible(visit, address);
  }
  all["what takes the focus is not hidden under the board"] = notHidden;
  for (const title of COMMISSIONS) all[`every stage of ${title} can be opened`] = (visit) => stages(visit, title);
  return all;
}

/** A tagged copy with a history, so that there is something to be found and to be compared. */
async function changedTwice(shop) {
  const entry = await shop.copy("Heron");
  await shop.post("/book/tag", { entry: entry.split("/").pop(), tag: "ebony" });
  const moment = async () => (await shop.text(`${entry}/wish`)).match(/name="based_on" value="(\d+)"/)[1];
  const first = await moment();
  for (const [path, value] of [["camber.nut", "11 in"], ["wish.relief", "0.2 mm"]]) {
    await shop.post(`${entry}/set`, { path, value, based_on: await moment(), page: "wish" });
  }
  return { entry, first };
}

/** What is worked out after the page is there is part of it. */
export async function whole(page) {
  await page.locator("[data-later]").first().waitFor({ state: "detached", timeout: 30_000 });
}

export async function fits(shop, address, windowOptions = {}) {
  const page = await shop.window(windowOptions);
  const answer = await page.goto(shop.base + address);
  if (answer.status() !== 200) throw new Error(`status ${answer.status()}`);
  await whole(page);
  const ids = await page.locator("[id]").evaluateAll((all) => all.map((each) => each.id));
  const twice = ids.filter((id, index) => ids.indexOf(id) !== index);
  if (twice.length) throw new Error(`two places are called ${twice.join(", ")}`);
  for (const [width, [across, down]] of Object.entries(WIDTHS)) {
    await page.setViewportSize({ width: across, height: down });
    for (const colorScheme of SCHEMES) {
      await page.emulateMedia({ colorScheme });
      const [whole, seen] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      if (whole > seen) throw new Error(`${width}, ${colorScheme}: ${whole} px wide in a window of ${seen}`);
    }
  }
  quiet(page);
}

/** The content policy keeps the checker out, so that it is set aside here, and here only. */
export async function accessible(shop, address, windowOptions = {}) {
  const page = await shop.window({ bypassCSP: true, ...windowOptions });
  await page.goto(shop.base + address);
  await whole(page);
  await nothingFound(page);
}

/** The page as it stands, at every width, light and dark. */
export async function nothingFound(page) {
  await page.addScriptTag({ path: AXE });
  const found = [];
  for (const [width, [across, down]] of Object.entries(WIDTHS)) {
    await page.setViewportSize({ width: across, height: down });
    for (const colorScheme of SCHEMES) {
      await page.emulateMedia({ colorScheme });
      // Dark differs from light in its colours alone.
      // The least size of what is touched, WCAG 2.2, 2.5.8, is a rule that axe leaves out unless asked.
      const options = colorScheme === "dark" ? { runOnly: ["color-contrast"] } : { rules: { "target-size": { enabled: true } } };
      // What is inside a picture is the same at every width; it is most of a page.
      const context = width === "wide" ? {} : { exclude: ["figure svg"] };
      const { violations } = await page.evaluate(([where, chosen]) => axe.run(where.exclude ? where : document, { ...chosen, resultTypes: ["violations"] }), [context, options]);
      found.push(...violations.map((each) => `${width}, ${colorScheme}: ${each.id}: ${each.help} at ${each.nodes.slice(0, 3).map((node) => node.target).join(" and ")} (${each.nodes.length})`));
    }
  }
  if (found.length) throw new Error(found.join("\n"));
}

async function stages(shop, title) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry(title)}/bench-plan`);
  const links = await page.locator(".stage h3 a").evaluateAll((all) => all.map((link) => link.href));
  if (!links.length) throw new Error("the plan has a single stage only");
  for (const link of links) {
    await page.goto(link);
    const opened = page.locator(".stage", { has: page.locator("dl.steps") });
    if (await opened.count() !== 1) throw new Error(`${link} opens ${await opened.count()} stages`);
    const id = await opened.getAttribute("id");
    if (!link.endsWith(`#${id}`)) throw new Error(`${link} opens ${id}`);
    await opened.locator("svg").waitFor();
  }
  quiet(page);
}

/** WCAG 2.2, 2.4.11: the focus is not entirely hidden by what stays in place. Going backward is the hard way. */
async function notHidden(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Bittern")}/board`);
  await page.locator("#field-climate-sawn").focus();
  for (let step = 0; step < 30; step += 1) {
    await page.keyboard.press("Shift+Tab");
    const [name, hidden] = await page.evaluate(() => {
      const focus = document.activeElement;
      return [focus.id, focus.getBoundingClientRect().top < document.getElementById("board").getBoundingClientRect().bottom - 1];
    });
    if (hidden && name.startsWith("field-")) throw new Error(`${name} is hidden`);
  }
}
