// Two windows on one commission: nothing is overwritten unseen.
import { nothingFound } from "./pages.mjs";
import { becomes, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "different values from two windows are both stored": merges,
    "the same value from two windows is stored once, and the second is told": warns,
    "the same words typed in both windows are no conflict": agrees,
    "what is stored on top of another window's change is called so": saysMerged,
    "changes sent in a row by one window are no merge": inARow,
    "the value that was not stored is stored by its button, or left": chooses,
    "without script two windows merge, warn and choose alike": withoutScript,
    "a list whose lines another window moved is not written to unseen": movedList,
    "undo does not take back another window's change unseen": undoes,
    "a law is not changed over another window's camber unseen": law,
    "a whole text and another window's value are both stored": textMerges,
    "a whole text over another window's change of the same is shown again, unstored and unlost": wholeText,
    "the question which value shall hold gives axe nothing to find": asked,
    "a kit's windows merge and warn like a commission's": kit,
  };
}

async function two(shop, pageName = "camber") {
  const commission = await shop.copy("Heron");
  const [one, other] = [await shop.window(), await shop.window()];
  for (const page of [one, other]) await page.goto(`${shop.base}${commission}/${pageName}`);
  return { commission, one, other };
}

async function merges(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  await type(other, "camber-last_fret", "410 mm");
  const text = await becomes(() => shop.stored(commission), /last_fret = "410 mm"/, "the second change");
  if (!/nut = "250 mm"/.test(text)) throw new Error("the first change is gone");
  await becomes(() => other.locator("#field-camber-nut").inputValue(), "250 mm", "the other window");
}

async function warns(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  await type(other, "camber-nut", "260 mm");
  const words = await other.locator(".notice.not-done").innerText();
  for (const each of ["camber, nut", "240 mm", "250 mm", "260 mm"]) {
    if (!words.includes(each)) throw new Error(`the warning does not name ${each}: ${words}`);
  }
  if (!/nut = "250 mm"/.test(await shop.stored(commission))) throw new Error("the first change is overwritten");
  // Typed again, knowingly, it holds.
  await type(other, "camber-nut", "260 mm");
  await becomes(() => shop.stored(commission), /nut = "260 mm"/, "the second change, typed again");
}

async function agrees(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  await type(other, "camber-nut", "250 mm");
  await becomes(() => other.locator(".change").count(), (count) => count > 0, "the other window's differences");
  if (await other.locator(".notice.not-done").count()) throw new Error("it is called a conflict");
}

async function saysMerged(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  await type(other, "camber-last_fret", "410 mm");
  const words = await becomes(() => other.locator("#words").innerText(), /Merged/, "the word on the merge");
  for (const each of ["camber, nut", "240 mm", "250 mm"]) if (!words.includes(each)) throw new Error(`it does not name ${each}: ${words}`);
  // The next change of the same window is no merge.
  await type(other, "camber-last_fret", "420 mm");
  await becomes(() => shop.stored(commission), /last_fret = "420 mm"/, "the next change");
  await becomes(() => other.locator("#words").innerText(), (seen) => !/Merged/.test(seen), "the word on the merge, gone");
  quiet(other);
}

async function inARow(shop) {
  const { commission, one } = await two(shop);
  const seen = [];
  one.on("response", (answer) => { if (answer.url().includes("merged=")) seen.push(answer.url()); });
  await type(one, "camber-nut", "250 mm");
  await type(one, "camber-last_fret", "410 mm");
  await type(one, "camber-nut", "260 mm");
  await becomes(() => shop.stored(commission), /nut = "260 mm"[^]*last_fret = "410 mm"/, "three changes");
  await one.getByRole("button", { name: "Undo" }).click();
  await becomes(() => shop.stored(commission), /nut = "250 mm"[^]*last_fret = "410 mm"/, "one undone");
  await one.getByRole("button", { name: "Undo" }).click();
  await becomes(() => shop.stored(commission), /nut = "250 mm"[^]*last_fret = "400 mm"/, "two undone");
  if (seen.length || await one.locator(".not-done").count()) throw new Error(`a window is told of itself: ${seen}`);
}

async function chooses(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  await type(other, "camber-nut", "260 mm");
  await other.getByRole("button", { name: "Set camber, nut to 260 mm" }).click();
  await becomes(() => shop.stored(commission), /nut = "260 mm"/, "the second value, chosen");
  await becomes(() => other.locator(".clash").count(), 0, "the question, answered");
  await type(one, "camber-nut", "270 mm");
  await one.getByRole("link", { name: "Keep 260 mm" }).click();
  await becomes(() => one.locator("#field-camber-nut").inputValue(), "260 mm", "the value kept");
  if (!/nut = "260 mm"/.test(await shop.stored(commission))) throw new Error("keeping changed it");
}

async function withoutScript(shop) {
  const commission = await shop.copy("Heron");
  const [one, other] = [await shop.window({ javaScriptEnabled: false }), await shop.window({ javaScriptEnabled: false })];
  for (const page of [one, other]) await page.goto(`${shop.base}${commission}/camber`);
  const send = async (page, field, value) => {
    await page.locator(`#field-${field}`).fill(value);
    await page.locator(`form:has(#field-${field})`).getByRole("button", { name: "Set", exact: true }).first().click();
  };
  await send(one, "camber-nut", "250 mm");
  await send(other, "camber-last_fret", "410 mm");
  await other.getByText("Merged:").waitFor();
  await send(one, "camber-last_fret", "420 mm");
  await one.getByText("You typed 420 mm").waitFor();
  await one.getByRole("button", { name: "Set camber, last fret to 420 mm" }).click();
  const text = await becomes(() => shop.stored(commission), /last_fret = "420 mm"/, "the value chosen");
  if (!/nut = "250 mm"/.test(text)) throw new Error("the first change is gone");
}

async function movedList(shop) {
  const { commission, other } = await two(shop, "wish");
  const base = await other.locator("input[name=based_on]").first().inputValue();
  await shop.post(`${commission}/take`, { based_on: base, path: "strings.set[1]", page: "wish" });
  const before = await shop.stored(commission);
  await type(other, "strings-set-3--gauge", "0.018 in");
  const words = await becomes(() => other.locator(".clash").innerText(), /another line/, "the warning");
  if (!words.includes("0.018 in")) throw new Error(`what was typed is lost: ${words}`);
  if (await shop.stored(commission) !== before) throw new Error("another string was changed");
  // A line taken away twice would take its neighbour.
  await shop.post(`${commission}/take`, { based_on: base, path: "strings.set[1]", page: "wish" });
  if (await shop.stored(commission) !== before) throw new Error("another string was taken away");
}

async function undoes(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  await type(one, "camber-nut", "255 mm");
  await becomes(() => shop.stored(commission), /nut = "255 mm"/, "the second change");
  const base = await other.locator("input[name=based_on]").first().inputValue();
  await shop.post(`${commission}/undo`, { based_on: base, page: "camber" });
  if (!/nut = "255 mm"/.test(await shop.stored(commission))) throw new Error("it is undone unseen");
}

async function law(shop) {
  const { commission, one, other } = await two(shop);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  // One press: a check would look whether it took, find the page already anew, and press again.
  await other.locator("input[type=radio][name=law][value=single]").click();
  const words = await becomes(() => other.locator("#words").innerText(), /another window/, "the warning");
  if (!words.includes("250 mm")) throw new Error(words);
  if (!/law = "cone"/.test(await shop.stored(commission))) throw new Error("the law is changed unseen");
}

async function textMerges(shop) {
  const { commission, one, other } = await two(shop, "text");
  await one.goto(`${shop.base}${commission}/camber`);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  const mine = (await other.locator("#whole-text").inputValue()).replace("relief = \"0.15 mm\"", "relief = \"0.18 mm\" # ask again");
  await other.locator("#whole-text").fill(mine);
  await other.getByRole("button", { name: "Store this text" }).click();
  await other.getByText("Merged:").waitFor();
  const text = await shop.stored(commission);
  if (!/nut = "250 mm"/.test(text) || !text.includes("relief = \"0.18 mm\" # ask again")) throw new Error(`one of the two is gone: ${text}`);
  if (await other.locator("#whole-text").inputValue() !== text) throw new Error("the page shows another text");
}

async function wholeText(shop) {
  const { commission, one, other } = await two(shop, "text");
  await one.goto(`${shop.base}${commission}/camber`);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  const mine = (await other.locator("#whole-text").inputValue()).replace("nut = \"240 mm\"", "nut = \"260 mm\"").replace("relief = \"0.15 mm\"", "relief = \"0.18 mm\"");
  await other.locator("#whole-text").fill(mine);
  await other.getByRole("button", { name: "Store this text" }).click();
  const words = await other.locator(".notice.not-done").innerText();
  for (const each of ["camber, nut", "240 mm", "250 mm", "260 mm"]) if (!words.includes(each)) throw new Error(`it does not name ${each}: ${words}`);
  if (words.includes("0.18 mm")) throw new Error(`it names what only one changed: ${words}`);
  if (await other.locator("#whole-text").inputValue() !== mine) throw new Error("the text is lost");
  if (!/nut = "250 mm"/.test(await shop.stored(commission))) throw new Error("the first change is overwritten");
  await other.getByRole("button", { name: "Store this text" }).click();
  await becomes(() => shop.stored(commission), /relief = "0.18 mm"/, "the text, stored knowingly");
  if (await shop.moments(commission) !== 3) throw new Error("the other change is not in the history");
}

async function kit(shop) {
  const path = await shop.copy("North bench");
  const [one, other] = [await shop.window(), await shop.window()];
  for (const page of [one, other]) await page.goto(`${shop.base}${path}`);
  await type(one, "smallest_light", "0.03 mm");
  await becomes(() => shop.text(path), /value="0.03 mm"/, "the first change");
  await type(other, "hand-force", "25 N");
  await becomes(() => other.locator("#words").innerText(), /Merged[^]*smallest light/, "the word on the merge");
  await type(one, "hand-force", "35 N");
  await one.getByRole("button", { name: "Set hand, force to 35 N" }).click();
  await becomes(() => shop.text(path), /value="35 N"/, "the value chosen");
  for (const page of [one, other]) quiet(page);
}

async function asked(shop) {
  const page = await shop.window({ bypassCSP: true });
  const commission = await shop.copy("Heron");
  await page.goto(`${shop.base}${commission}/camber`);
  const base = await page.locator("input[name=based_on]").first().inputValue();
  await shop.post(`${commission}/set`, { path: "camber.nut", value: "250 mm", based_on: base, page: "camber" });
  await type(page, "camber-nut", "260 mm");
  await page.locator(".clash").waitFor();
  await nothingFound(page);
}
