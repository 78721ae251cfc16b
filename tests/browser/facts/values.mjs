// Changing a value: everything follows, with the difference to before, and nothing is lost.
import { becomes, difference, figure, quiet, strip, type } from "../shop.mjs";

/** Depth of an arc under its crown at half a chord: closed form, R − √(R² − h²). */
const drop = (radius, half) => radius - Math.sqrt(radius * radius - half * half);
const HALF_NUT_MM = 42.5 / 2;
const shown = (millimetres) => `${millimetres.toFixed(3)} mm`;

export async function facts() {
  return {
    "a radius typed in inches changes figures, pictures and differences, and is stored": typed,
    "undo and redo go back and forth": undone,
    "the enter key stores once and warns of nothing": entered,
    "stepper buttons step, as often as they are pressed": stepped,
    "a choice from a list is stored at once": chosen,
    "another law keeps the nut's radius": law,
    "a camber of the table is taken with one press, and undo brings the old one back": taken,
    "without script the table of cambers is behind its link, and one can be taken": takenWithoutScript,
    "without script the button Set stores": withoutScript,
    "typing on while an answer is on its way loses nothing": typingOn,
    "a string is added and taken away": strings,
    "the woods that the tables know are offered, and one of them moves with the air": woods,
    "a program that does not answer is named, and what was typed stays and can be sent again": noAnswer,
    "an answer that is a refusal is shown in its words": refusal,
  };
}

async function open(shop, pageName = "camber", options = {}) {
  const commission = await shop.copy("Heron");
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/${pageName}`);
  return { commission, page };
}

const oneBlock = (page) => page.locator("#cambers tr", { hasText: "one block makes it" }).first();

async function taken(shop) {
  const { page } = await open(shop);
  await oneBlock(page).getByRole("button", { name: "Take it" }).click();
  const present = page.locator("#cambers tr.present");
  await becomes(() => present.locator("th").innerText(), /^406\.4 mm/, "the present camber");
  const half = (await figure(page, "Edge drop at the nut"));
  if (half !== shown(drop(406.4, HALF_NUT_MM))) throw new Error(`the drop at the nut is ${half}`);
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => present.locator("th").innerText(), /^240\.0 mm to 400\.0 mm/, "the camber, undone");
  quiet(page);
}

async function takenWithoutScript(shop) {
  const { commission, page } = await open(shop, "camber", { javaScriptEnabled: false });
  await page.getByRole("link", { name: /Lay the cambers side by side/ }).click();
  await oneBlock(page).getByRole("button", { name: "Take it" }).click();
  const text = await shop.text(`${commission}/commission.toml`);
  if (!/law = "single"/.test(text) || !/radius = "406.4 mm"/.test(text)) throw new Error(text);
}

const value = (page, field) => page.locator(`#field-${field}`).inputValue();

async function typed(shop) {
  const { commission, page } = await open(shop);
  const before = drop(240, HALF_NUT_MM), after = drop(254, HALF_NUT_MM);
  if (await figure(page, "Edge drop at the nut") !== shown(before)) throw new Error("the drop at the nut is not R − √(R² − h²)");
  const picture = await page.locator("#picture-section").innerHTML();
  await type(page, "camber-nut", "10 in");
  await becomes(() => figure(page, "Edge drop at the nut"), shown(after), "the drop at the nut");
  await becomes(() => difference(page, "Edge drop at the nut"), `−${shown(before - after)}`, "the difference");
  if (await strip(page, "radius") !== "254.0 mm") throw new Error("the strip did not follow");
  if (await page.locator("#picture-section").innerHTML() === picture) throw new Error("the section did not follow");
  await page.reload();
  if (await value(page, "camber-nut") !== "10 in") throw new Error("the value is not stored as typed");
  if (await shop.moments(commission) !== 2) throw new Error("there is not one new moment");
  quiet(page);
}

async function undone(shop) {
  const { page } = await open(shop);
  await type(page, "camber-nut", "10 in");
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(254, HALF_NUT_MM)), "after the change");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(240, HALF_NUT_MM)), "after undo");
  await becomes(() => value(page, "camber-nut"), "240 mm", "the field after undo");
  await page.getByRole("button", { name: "Redo" }).click();
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(254, HALF_NUT_MM)), "after redo");
  await becomes(() => value(page, "camber-nut"), "10 in", "the field after redo");
  quiet(page);
}

async function entered(shop) {
  const { commission, page } = await open(shop);
  await page.locator("#field-camber-nut").fill("10 in");
  await page.locator("#field-camber-nut").press("Enter");
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(254, HALF_NUT_MM)), "the drop at the nut");
  await new Promise((go) => setTimeout(go, 300));
  if (await page.locator(".notice").count()) throw new Error(await page.locator(".notice").textContent());
  if (await shop.moments(commission) !== 2) throw new Error("there is not one new moment");
}

async function stepped(shop) {
  const { commission, page } = await open(shop);
  const more = page.locator(".field", { has: page.locator("#field-camber-nut") }).getByRole("button", { name: "a step more" });
  await more.click();
  await becomes(() => value(page, "camber-nut"), "245 mm", "the field");
  // Three presses without waiting, as an impatient hand gives them.
  await more.evaluate((button) => { button.click(); button.click(); button.click(); });
  await becomes(() => shop.stored(commission), /nut = "260 mm"/, "the stored text");
  await becomes(() => value(page, "camber-nut"), "260 mm", "the field");
  const less = page.locator(".field", { has: page.locator("#field-camber-nut") }).getByRole("button", { name: "a step less" });
  await less.click();
  await becomes(() => value(page, "camber-nut"), "255 mm", "the field");
  quiet(page);
}

async function chosen(shop) {
  const { commission, page } = await open(shop, "board?fret=1&lane=0");
  const before = await strip(page, "slot depth");
  await page.locator("#field-frets-slot_floor").selectOption("follows camber");
  await becomes(() => strip(page, "slot depth"), (now) => now !== before, "the slot depth");
  await becomes(() => shop.stored(commission), /slot_floor = "follows camber"/, "the stored text");
  await page.reload();
  if (await value(page, "frets-slot_floor") !== "follows camber") throw new Error("the choice is not stored");
}

async function law(shop) {
  const { page } = await open(shop);
  const before = await figure(page, "Edge drop at the nut");
  await page.getByLabel("One radius").check();
  await becomes(() => page.locator("#field-camber-radius").count(), 1, "fields for one radius");
  if (await value(page, "camber-radius") !== "240 mm") throw new Error("the nut's radius is not kept");
  if (await figure(page, "Edge drop at the nut") !== before) throw new Error("the drop at the nut is not kept");
}

async function withoutScript(shop) {
  const { page } = await open(shop, "camber", { javaScriptEnabled: false });
  const field = page.locator(".field", { has: page.locator("#field-camber-nut") });
  await field.locator("input[type=text]").fill("10 in");
  await field.getByRole("button", { name: "Set" }).click();
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(254, HALF_NUT_MM)), "the drop at the nut");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(240, HALF_NUT_MM)), "after undo");
}

async function typingOn(shop) {
  const { commission, page } = await open(shop);
  await page.route("**/set", async (route) => { await new Promise((go) => setTimeout(go, 300)); await route.continue(); });
  await type(page, "camber-nut", "250 mm");
  // The next field is selected as a whole by the tab key; its letters arrive before and after the answer.
  await page.keyboard.type("41");
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(250, HALF_NUT_MM)), "the drop at the nut");
  await page.keyboard.type("0 mm");
  await page.keyboard.press("Tab");
  await becomes(() => shop.stored(commission), /last_fret = "410 mm"/, "the stored text");
  // Tabbed into and left alone until the answer is there, a field is still selected as a whole.
  await type(page, "camber-nut", "255 mm");
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(255, HALF_NUT_MM)), "the drop at the nut");
  await page.keyboard.type("420 mm");
  await page.keyboard.press("Tab");
  await becomes(() => shop.stored(commission), /last_fret = "420 mm"/, "the stored text");
  // What was typed before the answer and not touched again is stored when the field is left.
  await type(page, "camber-nut", "245 mm");
  await page.keyboard.type("430 mm");
  await becomes(() => figure(page, "Edge drop at the nut"), shown(drop(245, HALF_NUT_MM)), "the drop at the nut");
  await page.keyboard.press("Tab");
  await becomes(() => shop.stored(commission), /last_fret = "430 mm"/, "the stored text");
}

async function woods(shop) {
  const { page } = await open(shop, "board");
  const field = page.locator("#field-board-wood");
  const offered = await page.evaluate(() => [...document.getElementById("field-board-wood").list.options].map((each) => each.value));
  if (!offered.includes("African ebony") || !offered.includes("Macassar ebony")) throw new Error(offered.join(", "));
  await field.fill("African ebony");
  await field.press("Enter");
  await becomes(() => page.locator("#air").innerText(), /proud at the last fret/, "the air");
  quiet(page);
}

async function strings(shop) {
  const { page } = await open(shop, "wish");
  const rows = () => page.locator("table.set tbody tr").count();
  await page.getByRole("button", { name: "Add a string" }).click();
  await becomes(rows, 7, "rows of strings");
  await page.locator("table.set tbody tr").nth(6).getByRole("button", { name: "Take away" }).click();
  await becomes(rows, 6, "rows of strings");
  quiet(page);
}

async function noAnswer(shop) {
  const { commission, page } = await open(shop);
  await page.route("**/set", (route) => route.abort(), { times: 1 });
  await type(page, "camber-nut", "250 mm");
  await page.locator(".notice.not-done", { hasText: "does not answer" }).waitFor();
  if (await value(page, "camber-nut") !== "250 mm") throw new Error("what was typed is gone");
  await page.locator("#field-camber-nut").press("Enter");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the stored text");
  await becomes(() => page.locator(".notice").count(), 0, "notices once it is stored");
}

async function refusal(shop) {
  const { commission, page } = await open(shop);
  const field = page.locator(".field", { has: page.locator("#field-camber-nut") });
  await field.locator("[name=based_on]").evaluate((input) => { input.value = "never"; });
  await type(page, "camber-nut", "250 mm");
  await page.locator(".notice.not-done", { hasText: "on which moment it builds" }).waitFor();
  if (await value(page, "camber-nut") !== "250 mm") throw new Error("what was typed is gone");
  if (await shop.moments(commission) !== 1) throw new Error("something was stored");
}
