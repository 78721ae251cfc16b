// After a value was refused: the focus is at its field, which says why, with script and without.
import { becomes, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "a value that cannot be stored leads back to its field, where it stands and is told to be wrong": refused,
    "a value that makes the commission unsound leads back to its field": unsound,
    "a fault told of another key leads back to the field that made it": elsewhere,
    "mended, the focus is left where it is": mended,
    "typing on in the next field is not interrupted": typingOn,
    "leaving the field again is no trap": noTrap,
    "without script the page comes with the focus in that field": withoutScript,
    "a reading with a wrong place leads back to the place, with script and without": reading,
    "a fret's reading, a stage's minutes and a visit's name lead back to their fields": otherForms,
    "a kit's value leads back to its field, and unfolds its cutter": kit,
  };
}

const focus = (page, field, what) => becomes(() => page.evaluate(() => document.activeElement.id || document.activeElement.name), field, what);
/** What is read out with a field: the words that describe it. */
const described = (page, field) => page.locator(`#${field}`).getAttribute("aria-describedby").then((id) => page.locator(`#${id}`).innerText());

async function open(shop, pageName = "camber", options = {}) {
  const commission = await shop.copy("Heron");
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/${pageName}`);
  return { commission, page };
}

async function refused(shop) {
  const { commission, page } = await open(shop, "wish");
  await type(page, "title", "");
  await page.locator(".notice.not-done[role=alert]").waitFor();
  await focus(page, "field-title", "the focus");
  if (await page.locator("#field-title").inputValue() !== "") throw new Error("what was typed is gone");
  if (await page.locator("#field-title").getAttribute("aria-invalid") !== "true") throw new Error("the field is not told to be wrong");
  if (!/not stored: .*type a value/.test(await described(page, "field-title"))) throw new Error(await described(page, "field-title"));
  await page.keyboard.type("Heron of the marsh");
  await page.keyboard.press("Enter");
  await becomes(() => shop.stored(commission), /title = "Heron of the marsh"/, "the stored text");
  await becomes(() => page.locator(".not-done").count(), 0, "notices");
  quiet(page);
}

async function unsound(shop) {
  const { commission, page } = await open(shop);
  await type(page, "camber-nut", "one inch");
  await page.locator(".faults[role=alert]").waitFor();
  await focus(page, "field-camber-nut", "the focus");
  if (await page.evaluate(() => getSelection().toString() || document.activeElement.value.slice(document.activeElement.selectionStart, document.activeElement.selectionEnd)) !== "one inch") throw new Error("it is not selected to be typed over");
  await page.keyboard.type("10 in");
  await page.keyboard.press("Enter");
  await becomes(() => shop.stored(commission), /nut = "10 in"/, "the stored text");
  await becomes(() => page.locator(".faults").count(), 0, "faults");
  quiet(page);
}

/** Dots too large for the board are told of the dots, whose diameter was typed. */
async function elsewhere(shop) {
  const { page } = await open(shop, "board");
  await type(page, "dots-diameter", "40 mm");
  await page.locator(".faults").waitFor();
  await focus(page, "field-dots-diameter", "the focus");
  quiet(page);
}

async function mended(shop) {
  const { page } = await open(shop);
  await type(page, "camber-nut", "one inch");
  await page.locator(".faults").waitFor();
  await focus(page, "field-camber-nut", "the focus");
  await type(page, "camber-nut", "10 in");
  const next = await page.evaluate(() => document.activeElement.id);
  await becomes(() => page.locator(".faults").count(), 0, "faults");
  await focus(page, next, "the focus after mending");
  await page.reload();
  if (await page.evaluate(() => document.activeElement.id)) throw new Error("a sound page takes the focus somewhere");
}

async function typingOn(shop) {
  const { page } = await open(shop, "wish");
  await page.route("**/set", async (route) => { await new Promise((go) => setTimeout(go, 500)); await route.continue(); });
  await page.locator("#field-title").fill("");
  await page.locator("#field-title").press("Tab");
  await page.locator("#field-wish-relief").focus();
  await page.keyboard.type("0.2");
  await page.locator(".not-done").waitFor();
  await focus(page, "field-wish-relief", "the focus");
  if (!/0\.2/.test(await page.locator("#field-wish-relief").inputValue())) throw new Error("what was being typed is gone");
}

async function noTrap(shop) {
  const { page } = await open(shop);
  await type(page, "camber-nut", "one inch");
  await page.locator(".faults").waitFor();
  await focus(page, "field-camber-nut", "the focus");
  for (const key of ["Tab", "Shift+Tab", "Tab", "Tab"]) await page.keyboard.press(key);
  // Nothing was changed, so that nothing is sent and nothing comes back.
  await page.waitForTimeout(300);
  if (await page.evaluate(() => document.activeElement.id) === "field-camber-nut") throw new Error("the field cannot be left");
}

async function withoutScript(shop) {
  const { commission, page } = await open(shop, "wish", { javaScriptEnabled: false });
  const set = async (path, value) => {
    const form = page.locator("form.field", { has: page.locator(`#field-${path}`) });
    await form.locator("input[type=text]").fill(value);
    await form.getByRole("button", { name: "Set" }).last().click();
  };
  await set("title", "");
  await page.locator(".not-done").waitFor();
  await page.locator("#field-title:focus").waitFor();
  await page.goto(`${shop.base}${commission}/camber`);
  await set("camber-nut", "one inch");
  await page.locator(".faults").waitFor();
  await page.locator("#field-camber-nut:focus").waitFor();
  if (!/—/.test(await described(page, "field-camber-nut"))) throw new Error("the field does not say why");
}

async function reading(shop) {
  for (const javaScriptEnabled of [true, false]) {
    const { commission, page } = await open(shop, "readings", { javaScriptEnabled });
    await shop.post(`${commission}/visit`, { name: "rough", date: "", stage: "", page: "readings", fret: 0, lane: 0 });
    await page.reload();
    await page.locator("form.reading [name=kind][value=thickness]").check({ force: true });
    await page.locator("form.reading [name=at]").fill("fret 99");
    await page.locator("#amount").fill("6.2");
    await page.locator("#amount").press("Enter");
    await page.locator(".not-done").waitFor();
    await page.locator("form.reading [name=at]:focus").waitFor();
    if (await page.locator("form.reading [name=at]").inputValue() !== "fret 99") throw new Error("what was typed is gone");
  }
}

async function otherForms(shop) {
  const { commission, page } = await open(shop, "fretwork");
  await page.locator("#enter [name=value]").fill("a hair");
  await page.getByRole("button", { name: "Enter", exact: true }).click();
  await page.locator(".not-done").waitFor();
  await focus(page, "value", "the focus of a fret's reading");
  await page.goto(`${shop.base}${commission}/bench-plan`);
  await page.locator(".stage h3 a").first().click();
  await page.locator("form.done [name=minutes]").fill("soon");
  await page.getByRole("button", { name: "Log this stage as done" }).click();
  await page.locator(".not-done").waitFor();
  await focus(page, "minutes", "the focus of a stage's log");
  await page.goto(`${shop.base}${commission}/readings`);
  for (const name of ["rough", "rough"]) {
    const form = page.locator("form.visit", { hasText: "Begin a new visit" });
    await form.locator("[name=name]").fill(name);
    await form.getByRole("button").click();
    await becomes(() => page.locator("form.visit").count(), 2, "forms of visits");
  }
  await page.locator(".not-done").waitFor();
  await page.locator("form.visit", { hasText: "Begin a new visit" }).locator("[name=name]:focus").waitFor();
}

async function kit(shop) {
  const path = await shop.copy("North bench");
  const page = await shop.window();
  await page.goto(shop.base + path);
  await type(page, "smallest_light", "a hair");
  await page.locator(".faults").waitFor();
  await focus(page, "field-smallest_light", "the focus");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => page.locator(".faults").count(), 0, "faults");
  await page.locator("#cutters summary").first().click();
  await type(page, "cutters-1--reach", "far");
  await page.locator(".faults").waitFor();
  await focus(page, "field-cutters-1--reach", "the focus");
  // A page that comes anew opens the fold.
  await page.reload();
  await page.locator("#field-cutters-1--reach:focus").waitFor();
}
