// The guide in the program: every page answers, is accessible, and is reached from the page it goes with.
import { quiet } from "../shop.mjs";
import { accessible, fits } from "./pages.mjs";

/** These tests only look, so that several can run side by side. */
export const sideBySide = 3;

const LOOKED_AT = ["first-ten-minutes", "choosing-a-camber", "reading-the-wood", "figures", "bends", "readings-fit", "commission", "safety"];

export async function facts() {
  const all = {
    "every page of the guide answers, its links and pictures too": answers,
    "a page of a commission leads to its page of the guide": leads,
    "a figure says why, how and how sure, and leads to where it is worked out": unfolds,
  };
  for (const name of ["", ...LOOKED_AT.map((name) => `/${name}`)]) {
    all[`the guide${name} answers 200 without a complaint and fits every width`] = (visit) => fits(visit, `/guide${name}`);
    all[`the guide${name} gives axe nothing to find`] = (visit) => accessible(visit, `/guide${name}`);
  }
  return all;
}

async function answers(shop) {
  const seen = new Set(), waiting = ["/guide"];
  for (let path; (path = waiting.pop());) {
    if (seen.has(path)) continue;
    seen.add(path);
    const answer = await fetch(shop.base + path);
    if (answer.status !== 200) throw new Error(`${path} answered ${answer.status}`);
    const text = await answer.text();
    for (const [, , link] of text.matchAll(/(href|src)="(\/guide[^"#]*)/g)) waiting.push(link);
  }
  if (seen.size < 50) throw new Error(`only ${seen.size} pages and pictures`);
}

async function leads(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  await page.locator("#way").getByRole("link", { name: "Guide" }).click();
  await page.getByRole("heading", { name: "Choosing a camber", level: 1 }).waitFor();
  const sizes = await page.locator("article img").evaluateAll((all) => all.map((each) => each.naturalWidth));
  if (!sizes.length || sizes.includes(0)) throw new Error(`pictures are ${sizes} px wide`);
  quiet(page);
}

async function unfolds(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  const box = page.locator(".figure", { hasText: "Edge drop at the nut" });
  await box.locator("summary").click();
  for (const word of ["Why:", "How:", "How sure:"]) await box.locator("strong", { hasText: word }).waitFor();
  await box.getByRole("link", { name: "Worked out" }).click();
  await page.getByRole("heading", { name: "Camber", level: 1 }).waitFor();
  quiet(page);
}
