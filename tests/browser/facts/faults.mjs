// What makes no sense is kept, named, and has a way out; the last sound figures stay.
import { becomes, figure, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "a radius of 5 mm": (shop) => kept(shop, "camber", "camber-nut", "5 mm", /camber, nut/, "Edge drop at the nut"),
    "a radius that is no length": (shop) => kept(shop, "camber", "camber-nut", "abc", /camber, nut/, "Edge drop at the nut"),
    "a thousand million frets": (shop) => kept(shop, "board", "scale-frets", "1000000000", /scale, frets/, "Thinnest edge"),
    "frets written as 1e9": (shop) => kept(shop, "board", "scale-frets", "1e9", /scale, frets/, "Thinnest edge"),
    "an empty title is refused in words, and nothing is stored": emptyTitle,
    "a text that is not readable at all is kept and named": brokenText,
    "an address without an entry says so": nothingThere,
  };
}

async function kept(shop, pageName, field, typed, place, figureName) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/${pageName}`);
  const before = await figure(page, figureName);
  const input = page.locator(`#field-${field}`);
  const was = await input.inputValue();
  await type(page, field, typed);
  const faults = page.locator(".faults");
  await faults.waitFor();
  const words = await faults.innerText();
  if (!place.test(words)) throw new Error(`the place is not named: ${words}`);
  if (!/write for example|at least|at most/.test(words)) throw new Error(`no way out is named: ${words}`);
  if (!/last moment that was sound/.test(words)) throw new Error(`the figures' age is not said: ${words}`);
  if (await input.inputValue() !== typed) throw new Error(`the field holds ${await input.inputValue()}`);
  if (await input.getAttribute("aria-invalid") !== "true") throw new Error("the field is not marked");
  if (await figure(page, figureName) !== before) throw new Error("the last sound figure is gone");
  await page.reload();
  if (await input.inputValue() !== typed) throw new Error("what was typed is gone after loading the page again");
  if (await figure(page, figureName) !== before) throw new Error("the last sound figure is gone after loading the page again");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => input.inputValue(), was, "the field after undo");
  await becomes(() => page.locator(".faults").count(), 0, "faults after undo");
  quiet(page);
}

async function emptyTitle(shop) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/wish`);
  await type(page, "title", "");
  const words = await page.locator(".notice.not-done").innerText();
  if (!/title/.test(words) || !/type a value/.test(words)) throw new Error(words);
  if (await shop.moments(commission) !== 1) throw new Error("something was stored");
  if (!/title = "Heron, copy"/.test(await shop.stored(commission))) throw new Error("the title is gone");
  if (!(await figure(page, "Bend wished"))) throw new Error("the figures are gone");
}

async function brokenText(shop) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/text`);
  const broken = 'title = "Half\n[[[';
  await page.locator("#whole-text").fill(broken);
  await page.getByRole("button", { name: "Store this text" }).click();
  await page.locator(".faults").waitFor();
  if (await page.locator("#whole-text").inputValue() !== broken) throw new Error("the text is not kept");
  await page.goto(`${shop.base}${commission}/camber`);
  if (await figure(page, "Edge drop at the nut") !== "0.943 mm") throw new Error("the last sound figures are gone");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => page.locator(".faults").count(), 0, "faults after undo");
  quiet(page);
}

async function nothingThere(shop) {
  for (const path of ["/commission/987654/camber", "/commission/1/nothing", "/kit/987654", "/nowhere", "/commission/x/camber"]) {
    const answer = await fetch(shop.base + path);
    if (answer.status < 400 || answer.status >= 500) throw new Error(`${path} answers ${answer.status}`);
  }
  const page = await shop.window();
  await page.goto(`${shop.base}/commission/987654/camber`);
  await page.getByRole("link", { name: "Back to the book" }).click();
  await page.getByRole("heading", { name: "Book" }).waitFor();
}
