// A commission in a narrow window: a head of one row, and what it folds away.
import { WIDTHS, becomes, quiet } from "../shop.mjs";
import { nothingFound } from "./pages.mjs";

export async function facts() {
  return {
    "on a phone and a tablet the head is one row, and the page begins on the first screen": short,
    "a long name takes nothing out of sight": longName,
    "the way through the work unfolds by keyboard and without script": unfolds,
    "figures of the place unfold, and stay so while pointing": figures,
    "a wide window has the whole way in sight and no fold": wide,
    "unfolded, axe finds nothing": accessible,
  };
}

const ONE_ROW_PX = 64;

async function open(shop, width, options = {}) {
  const page = await shop.window({ viewport: { width: WIDTHS[width][0], height: WIDTHS[width][1] }, ...options });
  await page.goto(`${shop.base}${await shop.entry(options.title ?? "Heron")}/camber?fret=7&lane=1`);
  return page;
}

async function short(shop) {
  for (const [width, most] of [["phone", 320], ["tablet", 400]]) {
    const page = await open(shop, width);
    const head = await page.locator("header.top").boundingBox();
    if (head.height > ONE_ROW_PX) throw new Error(`${width}: the head is ${head.height} px high`);
    const heading = await page.locator("h1").boundingBox();
    if (heading.y > most) throw new Error(`${width}: the page begins at ${heading.y} px`);
    for (const name of ["Undo", "Redo"]) if (!await page.getByRole("button", { name }).isVisible()) throw new Error(`${width}: ${name} is hidden`);
    quiet(page);
    await page.close();
  }
}

async function longName(shop) {
  const commission = await shop.copy("Heron");
  const based = (await shop.text(`${commission}/wish`)).match(/name="based_on" value="(\d+)"/)[1];
  await shop.post(`${commission}/set`, { path: "title", value: "The one with the very long name for the player who bends", based_on: based, page: "wish" });
  for (const width of [390, 320]) {
    const page = await shop.window({ viewport: { width, height: 800 } });
    await page.goto(`${shop.base}${commission}/camber`);
    const past = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (past > 0) throw new Error(`${width}: ${past} px past the window`);
    for (const place of ["details.pages summary", ".moves button"]) {
      const box = await page.locator(`header ${place}`).last().boundingBox();
      if (!box || box.x < 0 || box.x + box.width > width) throw new Error(`${width}: ${place} is out of sight`);
    }
    await page.close();
  }
}

async function unfolds(shop) {
  const page = await open(shop, "phone", { javaScriptEnabled: false });
  const way = page.getByRole("navigation", { name: "The work", exact: true });
  if (await way.isVisible() || await page.getByLabel("Lengths in").isVisible()) throw new Error("it is not folded");
  await page.locator("header a").first().focus();
  await page.keyboard.press("Tab");
  await page.locator("details.pages summary:focus").waitFor();
  await page.keyboard.press("Enter");
  await way.waitFor();
  if (!await page.getByLabel("Lengths in").isVisible()) throw new Error("the units are not in it");
  if (await way.getByRole("link").count() !== 11) throw new Error(`${await way.getByRole("link").count()} pages`);
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "Wish" }).waitFor();
  if (await way.isVisible()) throw new Error("it stays unfolded over the next page");
}

async function figures(shop) {
  const page = await open(shop, "phone");
  const drop = page.locator(".strip tr", { hasText: "edge drop" });
  if (await drop.isVisible()) throw new Error("the figures are not folded");
  const line = page.locator(".strip summary");
  if (!/radius 314\.0 mm, width 48\.86 mm/.test(await line.innerText())) throw new Error(await line.innerText());
  await line.focus();
  await page.keyboard.press("Enter");
  await drop.waitFor();
  await page.getByRole("link", { name: "fret after" }).click();
  await becomes(() => page.locator(".strip .pointed strong").first().innerText(), "fret 8", "the place");
  if (!await drop.isVisible()) throw new Error("they fold up while pointing");
  quiet(page);
}

async function wide(shop) {
  const page = await open(shop, "wide");
  if (await page.locator("details.pages").isVisible() || await page.locator(".strip summary").isVisible()) throw new Error("something is folded");
  for (const name of ["Wish", "Text", "Guide"]) if (!await page.locator("#way").getByRole("link", { name, exact: true }).isVisible()) throw new Error(`${name} is out of sight`);
  if (!await page.locator(".strip tr", { hasText: "edge drop" }).isVisible()) throw new Error("the figures are out of sight");
}

async function accessible(shop) {
  const page = await open(shop, "phone", { bypassCSP: true });
  for (const fold of ["details.pages", ".strip details"]) await page.locator(`${fold} summary`).click();
  await nothingFound(page);
}
