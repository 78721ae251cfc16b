// The page Patterns and the kit unfolded: fitting, accessible, in inches, on paper, by keyboard.
import { createRequire } from "node:module";
import { COMMISSIONS, comeNow, fetched, open } from "../made.mjs";
import { WIDTHS, quiet } from "../shop.mjs";
import { whole } from "./pages.mjs";

const AXE = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

export async function facts() {
  const all = {
    "inches are followed": inches,
    "the keyboard reaches every scroller, fold, link and field": reaches,
    "on paper nothing is asked for, and no heading stands over nothing": printed,
  };
  for (const title of COMMISSIONS) {
    all[`${title}: with all unfolded axe finds nothing and nothing reaches past any window`] = (shop) => unfolded(shop, title);
  }
  all["the kit: with all unfolded axe finds nothing and nothing reaches past any window"] = (shop) => unfolded(shop, "North bench");
  return all;
}

/** The unit is the whole book's, so that this test puts it back. */
async function inches(shop) {
  try {
    // A field takes no fraction with a rest, so that fields hold decimal inches in both.
    for (const unit of ["inch", "fraction"]) {
      await shop.post("/units", { unit, back: "/book" });
      const { page } = await open(shop, { title: "Heron", copied: false });
      await comeNow(page);
      const cells = await page.locator("#jigs td .number").allInnerTexts();
      const left = cells.filter((words) => / mm$/.test(words));
      if (left.length || !cells.length) throw new Error(`${unit}: ${cells.length} cells, still in mm: ${left}`);
      if (/\d mm by/.test(await page.locator("#on-paper").innerText())) throw new Error(`${unit}: the size is in mm`);
      for (const name of ["near", "far", "length", "width", "height"]) {
        const shown = await page.locator(`#bodies [name=${name}]`).inputValue();
        if (!/^\d+\.\d+ in$/.test(shown)) throw new Error(`${unit}: ${name} is ${shown}`);
      }
      // What is shown is taken as it is shown.
      const fields = await page.locator("form.made", { hasText: "A radius block" }).evaluate((form) => new URLSearchParams(new FormData(form)).toString());
      const block = await fetched(shop, `${await shop.entry("Heron")}/body/block?${fields}&as=stl`);
      if (block.status !== 200) throw new Error(`${unit}: the block answers ${block.status}`);
      if (await page.locator("[name=short_bar]").inputValue() !== "100 mm") throw new Error("the bar of 100 mm is 100 mm long in every unit");
      quiet(page);
      await page.close();
    }
  } finally {
    await shop.post("/units", { unit: "mm", back: "/book" });
  }
}

async function reaches(shop) {
  const kit = await shop.entry("North bench");
  for (const address of [`${await shop.entry("Sandpiper")}/patterns?pattern=rails`, kit]) {
    const page = await shop.window();
    await page.goto(shop.base + address);
    await whole(page);
    await page.evaluate(() => { for (const fold of document.querySelectorAll("details")) fold.open = true; });
    const wanted = await page.locator("main :is(.scroller, summary, a[href], input:not([type=hidden]), select, textarea, button:not([tabindex='-1']))").evaluateAll((all) => all
      .filter((each) => each.checkVisibility() && !each.disabled)
      .map((each, index) => { each.dataset.wanted = index; return index; }));
    const met = new Set();
    await page.locator("header a").first().focus();
    for (let step = 0; step < wanted.length + 80 && met.size < wanted.length; step += 1) {
      await page.keyboard.press("Tab");
      const now = await page.evaluate(() => document.activeElement.dataset.wanted);
      if (now) met.add(now);
    }
    const missed = wanted.filter((each) => !met.has(String(each)));
    const words = await page.evaluate((list) => list.map((each) => document.querySelector(`[data-wanted="${each}"]`).outerHTML.slice(0, 70)), missed);
    if (missed.length) throw new Error(`${address}: not reached: ${words.slice(0, 3).join(" | ")}`);
    quiet(page);
    await page.close();
  }
}

async function printed(shop) {
  const page = await shop.window();
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: 718, height: 1000 }); // 190 mm of paper at 96 px an inch
  for (const title of ["Heron", "Sandpiper", "Avocet"]) {
    await page.goto(`${shop.base}${await shop.entry(title)}/patterns?pattern=rails`);
    await comeNow(page);
    const asked = await page.locator("main :is(input, select, button, form, summary)").evaluateAll((all) => all.filter((each) => each.checkVisibility()).map((each) => each.outerHTML.slice(0, 60)));
    if (asked.length) throw new Error(`${title}: ${asked.length} on paper: ${asked[0]}`);
    if (title === "Heron" && !await page.locator("#picture-jig-0 svg").isVisible()) throw new Error("what is folded away on screen is not on paper");
    const wide = await page.locator("figure.picture svg, table").evaluateAll((all) => all.filter((each) => each.checkVisibility() && each.getBoundingClientRect().right > innerWidth + 1).map((each) => each.textContent.slice(0, 40)));
    if (wide.length) throw new Error(`${title}: wider than the sheet: ${wide}`);
    const empty = await page.locator("main :is(h2, h3)").evaluateAll((all) => all.filter((each) => {
      if (!each.checkVisibility()) return false;
      let after = each.nextElementSibling;
      while (after && !/^H[1-3]$/.test(after.tagName)) {
        if (after.checkVisibility() && after.getBoundingClientRect().height > 0 && !after.matches("p.faint")) return false;
        after = after.nextElementSibling;
      }
      return true;
    }).map((each) => each.textContent));
    if (empty.length) throw new Error(`${title}: headings with nothing under them: ${empty.join(", ")}`);
    const left = (await page.locator("main").innerText()).match(/Files:|Papers:|Everything as one zip|Clamps are boxes/);
    if (left) throw new Error(`${title}: "${left}" leads nowhere on paper`);
  }
}

async function unfolded(shop, title) {
  const entry = await shop.entry(title);
  const page = await shop.window({ bypassCSP: true });
  // Every pattern has its own picture; the widest of two rails and the frets stand for all.
  const addresses = title === "North bench" ? [entry] : [`${entry}/patterns?pattern=frets&fret=3&lane=0`, `${entry}/patterns?pattern=rails`];
  const found = [];
  for (const address of addresses) {
    await page.goto(shop.base + address);
    await whole(page);
    await page.evaluate(() => { for (const fold of document.querySelectorAll("details")) fold.open = true; });
    await page.addScriptTag({ path: AXE });
    for (const [width, [across, down]] of Object.entries(WIDTHS)) {
      await page.setViewportSize({ width: across, height: down });
      const cut = await page.evaluate(() => [...document.querySelectorAll("main *")]
        .filter((each) => !each.closest(".scroller, .unseen, figure.sheet") && each.getBoundingClientRect().right > innerWidth + 1)
        .map((each) => `${each.tagName} "${each.textContent.trim().slice(0, 30)}"`));
      if (cut.length) found.push(`${width}: ${cut.length} places reach past the window: ${cut.slice(0, 3).join(", ")}`);
      for (const colorScheme of ["light", "dark"]) {
        await page.emulateMedia({ colorScheme });
        const options = colorScheme === "dark" ? { runOnly: ["color-contrast"] } : {};
        const { violations } = await page.evaluate((chosen_) => axe.run(document, { ...chosen_, resultTypes: ["violations"] }), options);
        found.push(...violations.map((each) => `${address}, ${width}, ${colorScheme}: ${each.id}: ${each.help} at ${each.nodes.slice(0, 3).map((node) => node.target).join(" and ")} (${each.nodes.length})`));
      }
    }
  }
  if (found.length) throw new Error(found.join("\n"));
  quiet(page);
}
