// Pointing at a place of the board: everything on the page follows.
import { becomes, quiet, strip } from "../shop.mjs";

const HERON_FRET_12_MM = "317.500 mm"; // half of 635 mm, by the octave

export async function facts() {
  return {
    "hovering over a fret moves the strip and the section": hovers,
    "hovering over a string's lane chooses that string": hoversLanes,
    "arrow keys on the plan move by frets and strings": keys,
    "links in the strip move without script": links,
    "a row of the fret table points at its fret": rows,
    "pointing while a change is on its way loses neither": racing,
    "a key pressed while an older answer comes in is not undone by it": stale,
    "a key pressed between the answer to a change and the place asked for counts on": between,
    "a mouse that rests on the plan does not undo the keys": resting,
    "after an answer that failed the keys count on from what is shown": failing,
  };
}

const section = (page) => page.locator("#picture-section svg text").allTextContents().then((all) => all.join(" "));
const place = (page) => page.locator(".strip .pointed strong").allTextContents().then((all) => all.join(" ").replace(/\s+/g, " "));

async function hovers(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  await page.locator('#plan [data-key="fret-12"]').hover();
  await becomes(() => place(page), /^fret 12 /, "the strip's place");
  await becomes(() => strip(page, "from the nut"), HERON_FRET_12_MM, "the strip");
  await becomes(() => section(page), /fret 12 /, "the section");
  await becomes(() => page.url(), /fret=12/, "the address");
  quiet(page);
}

async function hoversLanes(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  const box = await page.locator('#plan [data-key="fret-5"]').boundingBox();
  // The board's bass side is below: near that edge lies the lowest string.
  await page.mouse.move(box.x + box.width / 2, box.y + box.height * 0.9);
  await becomes(() => place(page), "fret 5 string 6 E2", "the strip's place");
}

async function keys(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  await page.locator("#plan").focus();
  for (const key of ["ArrowRight", "ArrowRight", "ArrowRight", "ArrowLeft", "ArrowDown"]) await page.keyboard.press(key);
  await becomes(() => place(page), "fret 2 string 2 B3", "the strip's place");
  await page.keyboard.press("End");
  await becomes(() => place(page), /^fret 22 /, "the strip's place");
  await becomes(() => section(page), /fret 22 /, "the section");
  await page.keyboard.press("Home");
  await becomes(() => place(page), /^nut /, "the strip's place");
  quiet(page);
}

async function links(shop) {
  const page = await shop.window({ javaScriptEnabled: false });
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber?fret=11&lane=0`);
  await page.getByRole("link", { name: "fret after" }).click();
  await becomes(() => strip(page, "from the nut"), HERON_FRET_12_MM, "the strip");
  await page.getByRole("link", { name: "lower string" }).click();
  await becomes(() => place(page), "fret 12 string 2 B3", "the strip's place");
}

async function rows(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/board`);
  await page.locator('tr[data-fret="12"]').click();
  await becomes(() => strip(page, "from the nut"), HERON_FRET_12_MM, "the strip");
  await page.locator('tr.here[data-fret="12"]').waitFor();
}

async function racing(shop) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/camber`);
  await page.route("**/set", async (route) => { await new Promise((go) => setTimeout(go, 300)); await route.continue(); });
  await page.locator("#field-camber-nut").fill("250 mm");
  await page.locator("#field-camber-nut").press("Tab");
  await page.locator('#plan [data-key="fret-12"]').hover();
  await becomes(() => place(page), /^fret 12 /, "the strip's place");
  // The form builds on the new moment by now: a second change of the same value is no conflict.
  await page.locator("#field-camber-nut").fill("260 mm");
  await page.locator("#field-camber-nut").press("Tab");
  await becomes(() => shop.stored(commission), /nut = "260 mm"/, "the stored text");
  if (await page.locator(".notice.not-done").count()) throw new Error(await page.locator(".notice.not-done").textContent());
}

/** An answer's head comes at once, its text later: what was asked for meanwhile is newer. */
async function stale(shop) {
  const page = await shop.window();
  await page.addInitScript(() => {
    const text = Response.prototype.text;
    let first = true;
    Response.prototype.text = async function () {
      if (first) { first = false; window.isReading = true; await new Promise((go) => setTimeout(go, 400)); window.hasRead = true; }
      return text.call(this);
    };
  });
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  await page.locator("#plan").focus();
  await page.route("**/camber?fret=2&*", async (route) => { await new Promise((go) => setTimeout(go, 900)); await route.continue(); });
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => window.isReading);
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => window.hasRead);
  await page.keyboard.press("ArrowRight");
  await becomes(() => place(page), /^fret 3 /, "the strip's place");
  quiet(page);
}

async function between(shop) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/camber?fret=0&lane=0`);
  const slowly = async (route) => { await new Promise((go) => setTimeout(go, 500)); await route.continue(); };
  await page.route("**/set", slowly);
  await page.route("**/camber?fret=1&*", slowly);
  await page.locator("#field-camber-nut").fill("250 mm");
  await page.locator("#field-camber-nut").press("Tab");
  await page.locator("#plan").focus();
  await page.keyboard.press("ArrowRight");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the stored text");
  await page.locator("#camber-figures .change").first().waitFor();
  await page.keyboard.press("ArrowRight");
  await becomes(() => place(page), /^fret 2 /, "the strip's place");
  quiet(page);
}

async function resting(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber`);
  await page.locator('#plan [data-key="fret-12"]').hover();
  await becomes(() => place(page), /^fret 12 /, "the strip's place");
  await page.locator("#plan").focus();
  for (const fret of [11, 10, 9]) {
    await page.keyboard.press("ArrowLeft");
    await becomes(() => place(page), new RegExp(`^fret ${fret} `), "the strip's place");
  }
}

async function failing(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Heron")}/camber?fret=4&lane=0`);
  await page.locator("#plan").focus();
  await page.route("**/camber?fret=5&*", (route) => route.abort(), { times: 1 });
  await page.keyboard.press("ArrowRight");
  await page.locator(".notice.not-done", { hasText: "does not answer" }).waitFor();
  await page.keyboard.press("ArrowRight");
  await becomes(() => place(page), /^fret 5 /, "the strip's place");
  await becomes(() => page.locator(".notice").count(), 0, "notices once it answers");
}
