// Two windows on one commission: nothing is overwritten unseen.
import { becomes, type } from "../shop.mjs";

export async function facts() {
  return {
    "different values from two windows are both stored": merges,
    "the same value from two windows is stored once, and the second is told": warns,
    "the same words typed in both windows are no conflict": agrees,
    "a whole text over another window's change is shown again, unstored and unlost": wholeText,
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
  for (const each of ["camber.nut", "240 mm", "250 mm", "260 mm"]) {
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

async function wholeText(shop) {
  const { commission, one, other } = await two(shop, "text");
  await one.goto(`${shop.base}${commission}/camber`);
  await type(one, "camber-nut", "250 mm");
  await becomes(() => shop.stored(commission), /nut = "250 mm"/, "the first change");
  const mine = (await other.locator("#whole-text").inputValue()).replace("relief = \"0.15 mm\"", "relief = \"0.18 mm\"");
  await other.locator("#whole-text").fill(mine);
  await other.getByRole("button", { name: "Store this text" }).click();
  await other.locator(".notice.not-done").waitFor();
  if (await other.locator("#whole-text").inputValue() !== mine) throw new Error("the text is lost");
  if (!/nut = "250 mm"/.test(await shop.stored(commission))) throw new Error("the first change is overwritten");
  await other.getByRole("button", { name: "Store this text" }).click();
  await becomes(() => shop.stored(commission), /relief = "0.18 mm"/, "the text, stored knowingly");
  if (await shop.moments(commission) !== 3) throw new Error("the other change is not in the history");
}
